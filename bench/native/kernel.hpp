// What every kernel here is: blocks of 32-bit floats in and out, all state and arithmetic in doubles, as in the library.
#pragma once
#include <vector>

constexpr int BLOCK = 128;

using Numbers = std::vector<double>;

struct Kernel {
  virtual ~Kernel() = default;
  // Channels of `count` samples, at most BLOCK.
  virtual void process(const float* const* in, float* const* out, int count) = 0;
};

// A signal some samples ago.
class Delay {
 public:
  explicit Delay(int samples) : ring_(samples) {}
  double operator()(double x) {
    if (ring_.empty()) return x;
    const double y = ring_[at_];
    ring_[at_] = x;
    if (++at_ == ring_.size()) at_ = 0;
    return y;
  }

 private:
  Numbers ring_;
  std::size_t at_ = 0;
};
