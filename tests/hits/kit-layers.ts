/** Samples for layering, made by the simulator from other strokes than those of the kit under test. */
import type { LayerHit } from '../../src/hits/place-layers.ts';
import type { VelocityLayer } from '../../src/hits/layer-samples.ts';
import type { DrumName, MicrophoneName } from '../../src/simulation/names.ts';
import { type SimulatedKit, simulateKit } from '../../src/simulation/simulate-kit.ts';

/** Two layers of `perLayer` samples of a drum, as its close microphone hears it alone. */
export function sampledLayers(drum: DrumName, microphone: MicrophoneName, perLayer = 2, seed = 77): VelocityLayer[] {
  return [0.3, 0.9].map((velocity) => ({
    velocity: 127 * velocity,
    samples: Array.from({ length: perLayer }, (_, i) =>
      simulateKit({
        seed: seed + i,
        tailSeconds: 0.4,
        strokes: [{ drum, seconds: 0.01, velocity }],
        noiseFloorDb: -200,
      }).stem(microphone, drum),
    ),
  }));
}

/** The true hits of a drum at its microphone, their level being the peak of their own stem. */
export function trueHits(kit: SimulatedKit, drum: DrumName, microphone: MicrophoneName): LayerHit[] {
  const stem = kit.stem(microphone, drum);
  return kit.truth.hits
    .filter((hit) => hit.drum === drum)
    .map(({ arrivals, velocity }) => {
      const sample = arrivals[microphone];
      const start = Math.floor(sample);
      const peak = stem
        .subarray(start, start + Math.round(0.02 * kit.sampleRateHz))
        .reduce((most, x) => Math.max(most, Math.abs(x)), 0);
      return { sample, velocity: 127 * velocity, velocityDb: 20 * Math.log10(peak) };
    });
}
