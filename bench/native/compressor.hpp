// Feed-forward compressor with a soft knee; logarithm and exponential are those of the C library.
#pragma once
#include <cmath>
#include "kernel.hpp"

class Compressor : public Kernel {
 public:
  // Threshold, knee, slope and range in octaves, coefficients of release and attack, make-up gain.
  explicit Compressor(const Numbers& k)
      : kneeBegin_(k[0] - k[1] / 2), knee_(k[1]), slope_(k[2]), range_(k[3]), release_(k[4]), attack_(k[5]), makeup_(k[6]) {}

  void process(const float* const* in, float* const* out, int count) override {
    double y = reduction_;
    for (int i = 0; i < count; i++) {
      const double x = in[0][i];
      const double over = std::log2(std::abs(x) + 1e-300) - kneeBegin_;
      double wanted = 0;
      if (over > knee_) wanted = slope_ * (over - knee_ / 2);
      else if (over > 0) wanted = slope_ / (2 * knee_) * over * over;
      if (wanted < range_) wanted = range_;
      y = wanted + (wanted > y ? release_ : attack_) * (y - wanted);
      out[0][i] = static_cast<float>(x * std::exp2(y) * makeup_);
    }
    reduction_ = y;
  }

 private:
  double kneeBegin_, knee_, slope_, range_, release_, attack_, makeup_;
  double reduction_ = 0;
};
