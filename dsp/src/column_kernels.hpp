#pragma once

namespace strapline::dsp {

/// out = base + Σ_k a[k]·x_k over `rows` rows; the twelve columns x_k lie `rows` apart. A plain
/// loop over rows, which compilers turn into the widest vectors there are.
template <int rows>
void add_twelve_columns(double* __restrict out, const double* __restrict base,
                        const double* __restrict x, const double* __restrict a) {
  for (int i = 0; i < rows; ++i) {
    double sum = base[i];
    for (int k = 0; k < 12; ++k) sum += a[k] * x[k * rows + i];
    out[i] = sum;
  }
}

/// p −= w·wᵀ; p n×n, w n×3, columns one after the other. Stays symmetric to the last bit.
template <int n>
void subtract_square(double* __restrict p, const double* __restrict w) {
  for (int j = 0; j < n; ++j) {
    const double a = w[j], b = w[n + j], c = w[2 * n + j];
    for (int i = 0; i < n; ++i) p[n * j + i] -= a * w[i] + b * w[n + i] + c * w[2 * n + i];
  }
}

}  // namespace strapline::dsp
