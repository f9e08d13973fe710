/**
 * The worker: makes sounds, runs the blocks, measures, draws for export.
 * @module
 */
import { blockTypes, parameterDescriptions } from 'batterhead/blocks';
import { equaliserBandParameters } from 'batterhead/filters';
import { measureLoudness } from 'batterhead/meters';
import { attackTimes } from './attack-times.ts';
import { curveOf } from './curve.ts';
import { picturesAsSvg, tracesAsCsv } from './exports.ts';
import { failures, measureFailure } from './failures.ts';
import { countOpenings, gainSwing, peakDb } from './figures.ts';
import { render, type Sound } from './render.ts';
import type { Settings } from './settings.ts';
import { makeSound } from './sources.ts';
import { bandCentres, bandLevels } from './spectrum.ts';
import { openWav } from './wav-excerpt.ts';
import type { Message, Reply, Shown, Workshop } from './workshop.ts';

/** Blocks that a page without further files can show: a measured room needs a recording of it. */
const shownTypes = Object.entries(blockTypes).filter(([, { takesImpulse = false }]) => !takesImpulse);

let file: Sound | undefined;
let last: Shown | undefined;

function soundOf(settings: Settings): Sound {
  const sound = makeSound(settings) ?? file;
  if (!sound) throw new Error('Choose a file first, or drop one on the page.');
  return sound;
}

function lastShown(): Shown {
  if (!last) throw new Error('There is nothing to save yet.');
  return last;
}

const workshop: Workshop = {
  catalogue: () => ({
    tables: Object.fromEntries(
      shownTypes.map(([name, type]) => [name, type.takesBands ? equaliserBandParameters : type.parameters]),
    ),
    descriptions: { ...parameterDescriptions, equaliser: parameterDescriptions.equaliserBand },
    listening: shownTypes.filter(([, { takesKey }]) => takesKey).map(([name]) => name),
    failures: failures.map(({ measure: _, ...text }) => text),
  }),

  render: (settings) => {
    const rendering = render(soundOf(settings), settings);
    const { input, output, trace } = rendering;
    const opens = settings.block === 'gate' || settings.block === 'expander';
    last = {
      ...rendering,
      curve: curveOf(settings, input.sampleRateHz),
      frequenciesHz: bandCentres(input.sampleRateHz),
      before: bandLevels(input),
      after: bandLevels(output),
      loudnessLufs: [
        measureLoudness(input.channels, input.sampleRateHz),
        measureLoudness(output.channels, input.sampleRateHz),
      ],
      peaksDb: [peakDb(input), peakDb(output)],
      openings: opens ? countOpenings(rendering) : undefined,
      swingDb: trace && gainSwing(rendering),
    };
    return last;
  },

  openWav: async (blob) => {
    const opened = await openWav(blob);
    file = opened.sound;
    return opened;
  },

  takeSound: (sound) => {
    file = sound;
  },

  failure: (name) => {
    const failure = failures.find((one) => one.name === name);
    if (!failure) throw new Error(`There is no failure ${name}.`);
    return measureFailure(failure, soundOf);
  },

  attackTimes,

  csv: (span) => tracesAsCsv(lastShown(), span),

  svg: ({ caption, span }) => {
    const shown = lastShown();
    const { curve, frequenciesHz, before, after } = shown;
    return picturesAsSvg(caption, { rendering: shown, span, curve, spectrum: { frequenciesHz, before, after } });
  },
};

async function reply({ id, question, asked }: Message): Promise<Reply> {
  try {
    // Question and what is asked belong together: the page's types see to that.
    return { id, answer: await (workshop[question] as (asked: unknown) => unknown)(asked) };
  } catch (error) {
    return { id, error: error instanceof Error ? error.message : String(error) };
  }
}

addEventListener('message', ({ data }: MessageEvent<Message>) => {
  void reply(data).then((message) => {
    postMessage(message);
  });
});
