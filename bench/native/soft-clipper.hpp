// Hyperbolic tangent at four times the sample rate, between linear-phase half-band filters.
#pragma once
#include <algorithm>
#include <cmath>
#include <cstring>
#include "kernel.hpp"

// y[i] = sum over j of taps[j] (w[i + j] + w[i + 2k - 1 - j]), eight outputs at a time; w and y have room for that.
inline void symmetricFir(const double* w, const Numbers& taps, int count, double* y) {
  constexpr int LANES = 8;
  const int k = static_cast<int>(taps.size()), last = 2 * k - 1;
  for (int i = 0; i < count; i += LANES) {
    double sum[LANES] = {};
    for (int j = 0; j < k; j++) {
      const double *p = w + i + j, *q = w + i + last - j;
      for (int lane = 0; lane < LANES; lane++) sum[lane] += taps[j] * (p[lane] + q[lane]);
    }
    for (int lane = 0; lane < LANES; lane++) y[i + lane] = sum[lane];
  }
}

// Past samples, then the new ones: what a filter looks at.
class Window {
 public:
  Window(int past, int longest) : past_(past), samples_(past + longest + 16) {}
  double* room() { return samples_.data() + past_; }
  const double* all() const { return samples_.data(); }
  void keep(int count) { std::memmove(samples_.data(), samples_.data() + count, past_ * sizeof(double)); }

 private:
  int past_;
  Numbers samples_;
};

class UpStage {
 public:
  UpStage(const Numbers& pairs, int longest) : taps_(pairs), window_(2 * pairs.size() - 1, longest), even_(longest + 16) {
    for (double& tap : taps_) tap *= 2;
  }
  void process(const double* x, int count, double* y) {
    std::copy(x, x + count, window_.room());
    symmetricFir(window_.all(), taps_, count, even_.data());
    const double* middle = window_.all() + taps_.size();
    for (int i = 0; i < count; i++) y[2 * i] = even_[i], y[2 * i + 1] = middle[i];
    window_.keep(count);
  }

 private:
  Numbers taps_;
  Window window_;
  Numbers even_;
};

class DownStage {
 public:
  DownStage(const Numbers& pairs, int longest)
      : taps_(pairs), even_(2 * pairs.size() - 1, longest), odd_(pairs.size(), longest), sum_(longest + 16) {}
  void process(const double* y, int count, double* z) {
    for (int i = 0; i < count; i++) even_.room()[i] = y[2 * i], odd_.room()[i] = y[2 * i + 1];
    symmetricFir(even_.all(), taps_, count, sum_.data());
    for (int i = 0; i < count; i++) z[i] = sum_[i] + 0.5 * odd_.all()[i];
    even_.keep(count);
    odd_.keep(count);
  }

 private:
  Numbers taps_;
  Window even_, odd_;
  Numbers sum_;
};

// Linear interpolation in a table of 2048 entries to the unit, up to 9.
class Tanh {
 public:
  Tanh() : table_(END * STEPS + 2, 1.0) {
    for (int i = 0; i < END * STEPS; i++) table_[i] = std::tanh(i / static_cast<double>(STEPS));
  }
  double operator()(double u) const {
    const double x = u * STEPS, size = std::min(std::abs(x), static_cast<double>(END * STEPS));
    const int k = static_cast<int>(size);
    return std::copysign(table_[k] + (size - k) * (table_[k + 1] - table_[k]), x);
  }

 private:
  static constexpr int STEPS = 2048, END = 9;
  Numbers table_;
};

class SoftClipper : public Kernel {
 public:
  // Gain and ceiling, samples of delay at the high rate, then how many tap pairs the first filter has and the pairs of both.
  explicit SoftClipper(const Numbers& k)
      : SoftClipper(k[0], k[1], static_cast<int>(k[2]), {k.begin() + 4, k.begin() + 4 + static_cast<int>(k[3])},
                    {k.begin() + 4 + static_cast<int>(k[3]), k.end()}) {}

  void process(const float* const* in, float* const* out, int count) override {
    double x[BLOCK];
    for (int i = 0; i < count; i++) x[i] = in[0][i];
    firstUp_.process(x, count, twice_);
    secondUp_.process(twice_, 2 * count, fourTimes_);
    for (int i = 0; i < 4 * count; i++) fourTimes_[i] = ceiling_ * tanh_(gain_ * fourTimes_[i]);
    for (int i = 0; i < 4 * count; i++) fourTimes_[i] = pad_(fourTimes_[i]);
    secondDown_.process(fourTimes_, 2 * count, twice_);
    firstDown_.process(twice_, count, x);
    for (int i = 0; i < count; i++) out[0][i] = static_cast<float>(x[i]);
  }

 private:
  SoftClipper(double gain, double ceiling, int pad, const Numbers& first, const Numbers& second)
      : gain_(gain), ceiling_(ceiling), pad_(pad), firstUp_(first, BLOCK), secondUp_(second, 2 * BLOCK),
        firstDown_(first, BLOCK), secondDown_(second, 2 * BLOCK) {}

  double gain_, ceiling_;
  Tanh tanh_;
  Delay pad_;
  UpStage firstUp_, secondUp_;
  DownStage firstDown_, secondDown_;
  double twice_[2 * BLOCK], fourTimes_[4 * BLOCK];
};
