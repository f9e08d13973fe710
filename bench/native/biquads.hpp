// Four second-order sections in direct form 1, all in one loop. Two channels are the two lanes of a vector.
#pragma once
#include "kernel.hpp"

using Pair = double __attribute__((vector_size(16)));

// Lane is double or Pair. Parameters: b0 b1 b2 a1 a2 of each section.
template <typename Lane>
class Sections {
 public:
  static constexpr int COUNT = 4;

  explicit Sections(const Numbers& k) {
    for (int s = 0; s < COUNT; s++) {
      b0_[s] = k[5 * s];
      b1_[s] = k[5 * s + 1];
      b2_[s] = k[5 * s + 2];
      a1_[s] = k[5 * s + 3];
      a2_[s] = k[5 * s + 4];
    }
  }

  void run(Lane* x, int count) {
    Lane past1[COUNT + 1], past2[COUNT + 1];  // what went into each section, and what came out of the last
    for (int s = 0; s <= COUNT; s++) past1[s] = past1_[s], past2[s] = past2_[s];
    for (int i = 0; i < count; i++) {
      Lane v = x[i];
#pragma GCC unroll 4
      for (int s = 0; s < COUNT; s++) {
        const Lane y = (b0_[s] * v + b1_[s] * past1[s] + b2_[s] * past2[s] - a2_[s] * past2[s + 1]) - a1_[s] * past1[s + 1];
        past2[s] = past1[s];
        past1[s] = v;
        v = y;
      }
      past2[COUNT] = past1[COUNT];
      past1[COUNT] = v;
      x[i] = v;
    }
    for (int s = 0; s <= COUNT; s++) past1_[s] = past1[s], past2_[s] = past2[s];
  }

 private:
  double b0_[COUNT], b1_[COUNT], b2_[COUNT], a1_[COUNT], a2_[COUNT];
  Lane past1_[COUNT + 1] = {}, past2_[COUNT + 1] = {};
};

class MonoBiquads : public Kernel {
 public:
  explicit MonoBiquads(const Numbers& k) : sections_(k) {}
  void process(const float* const* in, float* const* out, int count) override {
    double x[BLOCK];
    for (int i = 0; i < count; i++) x[i] = in[0][i];
    sections_.run(x, count);
    for (int i = 0; i < count; i++) out[0][i] = static_cast<float>(x[i]);
  }

 private:
  Sections<double> sections_;
};

class StereoBiquads : public Kernel {
 public:
  explicit StereoBiquads(const Numbers& k) : sections_(k) {}
  void process(const float* const* in, float* const* out, int count) override {
    Pair x[BLOCK];
    for (int i = 0; i < count; i++) x[i] = Pair{in[0][i], in[1][i]};
    sections_.run(x, count);
    for (int i = 0; i < count; i++) {
      out[0][i] = static_cast<float>(x[i][0]);
      out[1][i] = static_cast<float>(x[i][1]);
    }
  }

 private:
  Sections<Pair> sections_;
};
