#pragma once

namespace strapline::dsp {

/// How far the readings of a part of unknown make lag behind the movement they are stamped with, s.
/// It has a low-pass of its own (SensorErrors::reading_lag's default), and where it delivers slowly
/// it averages its own samples since the last reading, or they would alias: the mean of N samples
/// is that of the time (N − 1)/2 samples ago. Parts commonly sample at 1 kHz inside (datasheets).
/// Measured: a hand-held stick at 100 Hz trails its optical truth by 5 ms (RepoIMU, Szczęsna et al.
/// 2016), a part at 286 Hz by 4 (BROAD, Laidig et al. 2021).
[[nodiscard]] double usual_reading_lag(double rate_hz);

}  // namespace strapline::dsp
