// Gate with hysteresis, hold and range; the first channel opens it.
#pragma once
#include <cmath>
#include "kernel.hpp"

class Gate : public Kernel {
 public:
  // Opening and closing level, gain when closed, coefficients of attack and release, hold in samples.
  explicit Gate(const Numbers& k)
      : open_(k[0]), close_(k[1]), closed_(k[2]), attack_(k[3]), release_(k[4]), hold_(static_cast<int>(k[5])), gain_(closed_) {}

  void process(const float* const* in, float* const* out, int count) override {
    double gain = gain_;
    int openFor = openFor_;
    for (int i = 0; i < count; i++) {
      const double x = in[0][i];
      if (std::abs(x) >= (openFor > 0 ? close_ : open_)) openFor = hold_ + 1;
      else if (openFor > 0) openFor--;
      const double target = openFor > 0 ? 1 : closed_;
      gain = target + (target > gain ? attack_ : release_) * (gain - target);
      out[0][i] = static_cast<float>(x * gain);
    }
    gain_ = gain;
    openFor_ = openFor;
  }

 private:
  double open_, close_, closed_, attack_, release_;
  int hold_;
  double gain_;
  int openFor_ = 0;
};
