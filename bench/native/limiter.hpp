// Look-ahead limiter: sliding minimum (van Herk) over L samples, exponential release, two moving sums, delayed signal.
#pragma once
#include <algorithm>
#include <cmath>
#include "kernel.hpp"

class SlidingMinimum {
 public:
  explicit SlidingMinimum(int length) : last_(length), block_(length + 1), tails_(length + 2, 1.0) { tails_.back() = 1e300; }
  void process(double* x, int count) {
    for (int i = 0; i < count; i++) {
      block_[at_] = x[i];
      head_ = std::min(head_, x[i]);
      x[i] = std::min(tails_[at_ + 1], head_);
      if (at_++ < last_) continue;
      double least = 1e300;
      for (int j = last_; j >= 0; j--) tails_[j] = least = std::min(least, block_[j]);
      at_ = 0;
      head_ = 1e300;
    }
  }

 private:
  int last_, at_ = 0;
  double head_ = 1e300;
  Numbers block_, tails_;
};

// Sum of the last N whole numbers: exact.
class BoxSum {
 public:
  BoxSum(int length, double rest) : ring_(length, rest), sum_(length * rest) {}
  void process(double* x, int count) {
    double sum = sum_;
    std::size_t at = at_;
    for (int i = 0; i < count; i++) {
      sum += x[i] - ring_[at];
      ring_[at] = x[i];
      if (++at == ring_.size()) at = 0;
      x[i] = sum;
    }
    sum_ = sum;
    at_ = at;
  }

 private:
  Numbers ring_;
  double sum_;
  std::size_t at_ = 0;
};

class Limiter : public Kernel {
 public:
  // Ceiling, coefficient of the release, look-ahead in samples.
  explicit Limiter(const Numbers& k)
      : ceiling_(k[0]), release_(k[1]), taps_(static_cast<int>(k[2]) / 2 + 1), otherTaps_(static_cast<int>(k[2]) + 2 - taps_),
        minimum_(static_cast<int>(k[2])), first_(taps_, UNITY), second_(otherTaps_, UNITY * taps_), signal_(static_cast<int>(k[2])) {}

  void process(const float* const* in, float* const* out, int count) override {
    double gain[BLOCK];
    for (int i = 0; i < count; i++) {
      const double level = std::abs(in[0][i]);
      gain[i] = level > ceiling_ ? ceiling_ * SAFE / level : 1;
    }
    minimum_.process(gain, count);
    double reduction = reduction_;
    for (int i = 0; i < count; i++) {
      reduction *= release_;
      if (reduction < 0.5 / UNITY) reduction = 0;
      reduction = std::max(reduction, 1 - gain[i]);
      gain[i] = std::floor(UNITY * (1 - reduction));
    }
    reduction_ = reduction;
    first_.process(gain, count);
    second_.process(gain, count);
    const double full = UNITY * taps_ * otherTaps_;
    for (int i = 0; i < count; i++) out[0][i] = static_cast<float>(signal_(in[0][i]) * (gain[i] / full));
  }

 private:
  static constexpr double UNITY = 268435456;          // 2^28
  static constexpr double SAFE = 0.9999999999999964;  // 1 - 2^-48
  double ceiling_, release_;
  int taps_, otherTaps_;
  double reduction_ = 0;
  SlidingMinimum minimum_;
  BoxSum first_, second_;
  Delay signal_;
};
