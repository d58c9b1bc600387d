#pragma once

/// Before a function: compiled twice with all that it calls, for two and for four doubles at a
/// time, and the loader takes what the machine has. No fused multiply-adds, so the results are the
/// same to the last bit on every machine. GCC on x86-64 Linux only: what Clang 14 makes of it does
/// not link, and under the thread sanitizer the loader's choice runs before the sanitizer is ready.
/// Elsewhere the plain function.
#if defined(__x86_64__) && defined(__linux__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_THREAD__)
#define STRAPLINE_WIDE_VECTORS [[gnu::target_clones("avx2", "default"), gnu::flatten]]
#else
#define STRAPLINE_WIDE_VECTORS
#endif
