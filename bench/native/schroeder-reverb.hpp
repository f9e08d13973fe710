// Pre-delay, two second-order sections, and for each of two channels a tank of 8 combs and 5 allpasses.
#pragma once
#include <algorithm>
#include <cmath>
#include "kernel.hpp"

// One section in direct form 1.
class Section {
 public:
  explicit Section(const double* k) : b0_(k[0]), b1_(k[1]), b2_(k[2]), a1_(k[3]), a2_(k[4]) {}
  double operator()(double x) {
    const double y = (b0_ * x + b1_ * x1_ + b2_ * x2_ - a2_ * y2_) - a1_ * y1_;
    x2_ = x1_, x1_ = x, y2_ = y1_, y1_ = y;
    return y;
  }

 private:
  double b0_, b1_, b2_, a1_, a2_, x1_ = 0, x2_ = 0, y1_ = 0, y2_ = 0;
};

// Four combs in one loop, added with the signs + - + -. Rings are walked in runs in which none of them comes to its end.
class CombBank {
 public:
  // Delay, gain and pole of each comb.
  explicit CombBank(const double* k) {
    for (int c = 0; c < 4; c++) ring_[c].resize(static_cast<int>(k[3 * c])), gain_[c] = k[3 * c + 1], pole_[c] = k[3 * c + 2];
  }
  void addTo(double* y, const double* x, int count) {
    for (int i = 0; i < count;) {
      int run = count - i;
      for (int c = 0; c < 4; c++) run = std::min(run, static_cast<int>(ring_[c].size()) - at_[c]);
      double *a = &ring_[0][at_[0]], *b = &ring_[1][at_[1]], *c = &ring_[2][at_[2]], *d = &ring_[3][at_[3]];
      double p = echo_[0], q = echo_[1], r = echo_[2], s = echo_[3];
      for (int j = 0; j < run; j++) {
        const double in = x[i + j];
        p = gain_[0] * a[j] + pole_[0] * p;
        q = gain_[1] * b[j] + pole_[1] * q;
        r = gain_[2] * c[j] + pole_[2] * r;
        s = gain_[3] * d[j] + pole_[3] * s;
        a[j] = in + p;
        b[j] = in + q;
        c[j] = in + r;
        d[j] = in + s;
        y[i + j] += p - q + (r - s);
      }
      echo_[0] = p, echo_[1] = q, echo_[2] = r, echo_[3] = s;
      for (int n = 0; n < 4; n++)
        if ((at_[n] += run) == static_cast<int>(ring_[n].size())) at_[n] = 0;
      i += run;
    }
  }

 private:
  Numbers ring_[4];
  double gain_[4], pole_[4], echo_[4] = {};
  int at_[4] = {};
};

class Allpass {
 public:
  Allpass(int delay, double gain) : ring_(delay), gain_(gain) {}
  void process(double* x, int count) {
    for (int i = 0; i < count;) {
      const int run = std::min(count - i, static_cast<int>(ring_.size()) - at_);
      double* ring = &ring_[at_];
      for (int j = 0; j < run; j++) {
        const double delayed = ring[j], v = x[i + j] + gain_ * delayed;
        x[i + j] = delayed - gain_ * v;
        ring[j] = v;
      }
      if ((at_ += run) == static_cast<int>(ring_.size())) at_ = 0;
      i += run;
    }
  }

 private:
  Numbers ring_;
  double gain_;
  int at_ = 0;
};

class Tank {
 public:
  static constexpr int PARAMETERS = 1 + 2 * 5 + 3 * 8;
  // Level, delay and gain of 5 allpasses, delay, gain and pole of 8 combs.
  explicit Tank(const double* k) : level_(k[0]), banks_{CombBank(k + 11), CombBank(k + 23)} {
    for (int j = 0; j < 5; j++) allpasses_.emplace_back(static_cast<int>(k[1 + 2 * j]), k[2 + 2 * j]);
  }
  void process(const double* x, double* y, int count) {
    double in[BLOCK];
    const double direct = std::sqrt(8.0);
    for (int i = 0; i < count; i++) in[i] = level_ * x[i], y[i] = direct * in[i];
    for (CombBank& bank : banks_) bank.addTo(y, in, count);
    for (Allpass& allpass : allpasses_) allpass.process(y, count);
  }

 private:
  double level_;
  CombBank banks_[2];
  std::vector<Allpass> allpasses_;
};

class SchroederReverb : public Kernel {
 public:
  // Pre-delay in samples, two sections, two tanks.
  explicit SchroederReverb(const Numbers& k)
      : preDelay_(static_cast<int>(k[0])), highpass_(&k[1]), lowpass_(&k[6]), left_(&k[11]), right_(&k[11 + Tank::PARAMETERS]) {}

  void process(const float* const* in, float* const* out, int count) override {
    double feed[BLOCK], left[BLOCK], right[BLOCK];
    for (int i = 0; i < count; i++) {
      const double mean = 0.5 * in[0][i] + 0.5 * in[1][i];
      feed[i] = lowpass_(highpass_(preDelay_(mean)));
    }
    left_.process(feed, left, count);
    right_.process(feed, right, count);
    for (int i = 0; i < count; i++) {
      out[0][i] = static_cast<float>(left[i]);
      out[1][i] = static_cast<float>(right[i]);
    }
  }

 private:
  Delay preDelay_;
  Section highpass_, lowpass_;
  Tank left_, right_;
};
