#pragma once

/// Before a function: compiled twice with all that it calls, for two and for four doubles at a
/// time, and the loader takes what the machine has. No fused multiply-adds, so the results are the
/// same to the last bit on every machine. Other machines get the plain function.
#if defined(__x86_64__) && defined(__ELF__)
#define STRAPLINE_WIDE_VECTORS [[gnu::target_clones("avx2", "default"), gnu::flatten]]
#else
#define STRAPLINE_WIDE_VECTORS
#endif
