// kernels NAME SOUND CHANNELS PARAMETERS...
//
// Runs a kernel over a file of 32-bit floats, one channel behind the other, in blocks, and answers on its standard output:
//     ready        said once, after a warm-up
//     round        processor time of many blocks, in ns per sample and channel
//     save FILE    writes what a new kernel makes of the file, in the same form
#include <cstdio>
#include <ctime>
#include <fstream>
#include <functional>
#include <iostream>
#include <map>
#include <memory>
#include <string>
#include "biquads.hpp"
#include "compressor.hpp"
#include "gate.hpp"
#include "limiter.hpp"
#include "schroeder-reverb.hpp"
#include "soft-clipper.hpp"

using Sound = std::vector<std::vector<float>>;
using Create = std::function<std::unique_ptr<Kernel>(const Numbers&)>;

template <typename K>
std::unique_ptr<Kernel> create(const Numbers& k) {
  return std::make_unique<K>(k);
}

const std::map<std::string, Create> kernels = {
    {"biquads, mono", create<MonoBiquads>}, {"biquads, stereo", create<StereoBiquads>},
    {"gate", create<Gate>},                 {"compressor", create<Compressor>},
    {"limiter", create<Limiter>},           {"softClipper", create<SoftClipper>},
    {"schroederReverb", create<SchroederReverb>},
};

Sound readSound(const char* path, int channels) {
  std::ifstream file(path, std::ios::binary | std::ios::ate);
  const std::size_t frames = static_cast<std::size_t>(file.tellg()) / sizeof(float) / channels;
  file.seekg(0);
  Sound sound(channels, std::vector<float>(frames));
  for (auto& channel : sound) file.read(reinterpret_cast<char*>(channel.data()), frames * sizeof(float));
  return sound;
}

void runOnce(Kernel& kernel, const Sound& in, Sound& out) {
  const float* from[2];
  float* to[2];
  const std::size_t frames = in[0].size();
  for (std::size_t at = 0; at + BLOCK <= frames; at += BLOCK) {
    for (std::size_t c = 0; c < in.size(); c++) from[c] = &in[c][at], to[c] = &out[c][at];
    kernel.process(from, to, BLOCK);
  }
}

double processorSeconds() {
  timespec now;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return now.tv_sec + 1e-9 * now.tv_nsec;
}

int main(int argc, char** argv) {
  const int channels = std::stoi(argv[3]);
  const Sound in = readSound(argv[2], channels);
  Sound out = in;
  Numbers parameters;
  for (int a = 4; a < argc; a++) parameters.push_back(std::stod(argv[a]));
  const Create make = kernels.at(argv[1]);
  const auto kernel = make(parameters);
  const auto timed = [&](int runs) {
    const double began = processorSeconds();
    for (int r = 0; r < runs; r++) runOnce(*kernel, in, out);
    return processorSeconds() - began;
  };
  timed(10);
  const int runs = std::max(1, static_cast<int>(0.06 * 20 / timed(20)));
  std::cout << "ready" << std::endl;
  for (std::string question; std::getline(std::cin, question);) {
    if (question == "round") {
      std::cout << 1e9 * timed(runs) / (static_cast<double>(runs) * channels * in[0].size()) << std::endl;
    } else {
      runOnce(*make(parameters), in, out);
      std::ofstream file(question.substr(5), std::ios::binary);
      for (const auto& channel : out) file.write(reinterpret_cast<const char*>(channel.data()), channel.size() * sizeof(float));
      file.close();
      std::cout << 0 << std::endl;
    }
  }
}
