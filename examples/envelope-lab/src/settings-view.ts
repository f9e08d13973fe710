/**
 * The controls of the page: sound, block, its parameters, and what stands beside it.
 * @module
 */
import equations from 'virtual:equations';
import { controlsFor } from './controls.ts';
import { byId, chooser, make } from './dom.ts';
import { type DryChoice, dryChoices, keyHighpassRow, type MicrophoneChoice, microphoneChoices } from './settings.ts';
import { type BlockOptions, defaultSettings, type Settings, type SourceName, sourceNames } from './settings.ts';
import { SAMPLE_RATE_HZ, signalParameters } from './signals.ts';
import { dryWords, microphoneWords, sentence, sourceWords, spaced } from './words.ts';
import type { Catalogue, Shown } from './workshop.ts';

const signalDescriptions = { levelDb: 'Peak of the loudest part.', frequencyHz: 'Of the tone.' };
const keyDescriptions = {
  detectorHighpassHz: 'Takes lows away from what the detector hears, not from what you hear; 0 takes nothing.',
};

/** Controls that show settings and tell of changes. */
export class SettingsView {
  readonly #catalogue: Catalogue;
  readonly #onChange: (changes: Partial<Settings>) => void;
  #settings: Settings = defaultSettings;
  #sampleRateHz = SAMPLE_RATE_HZ;

  constructor(catalogue: Catalogue, onChange: (changes: Partial<Settings>) => void) {
    this.#catalogue = catalogue;
    this.#onChange = onChange;
    byId('defaults').addEventListener('click', () => {
      this.#change({ options: {}, keyHighpassHz: defaultSettings.keyHighpassHz, dry: defaultSettings.dry });
      this.#showBlock();
    });
    byId('parameters').addEventListener('submit', (event) => event.preventDefault());
  }

  /** Shows settings that come from elsewhere. */
  show(settings: Settings): void {
    this.#settings = settings;
    this.#showSound();
    this.#showBlock();
  }

  /** The sample rate sets how far some parameters reach. */
  heard({ input: { sampleRateHz } }: Shown): void {
    if (sampleRateHz === this.#sampleRateHz) return;
    this.#sampleRateHz = sampleRateHz;
    this.#showBlock();
  }

  #change(changes: Partial<Settings>): void {
    this.#settings = { ...this.#settings, ...changes };
    this.#onChange(changes);
  }

  #showSound(): void {
    const { source, microphone, signal } = this.#settings;
    const place = byId('sound');
    const parts = [
      chooser(
        'source',
        'Source',
        sourceNames.map((name) => [name, sourceWords[name]] as const),
        source,
        (value) => {
          this.#change({ source: value as SourceName });
          this.#showSound();
          byId('source').focus();
        },
      ),
    ];
    if (source === 'kit') {
      const choices = microphoneChoices.map((name) => [name, microphoneWords[name]] as const);
      parts.push(
        chooser('microphone', 'Microphone', choices, microphone, (value) =>
          this.#change({ microphone: value as MicrophoneChoice }),
        ),
      );
    } else if (source !== 'file') {
      parts.push(
        ...controlsFor({
          prefix: 'signal',
          table: signalParameters,
          values: { ...signal },
          descriptions: signalDescriptions,
          sampleRateHz: SAMPLE_RATE_HZ,
          onChange: (name, value) => this.#change({ signal: { ...this.#settings.signal, [name]: value } }),
        }),
      );
    }
    place.replaceChildren(...parts);
  }

  #showBlock(): void {
    const { block, options } = this.#settings;
    const { tables, descriptions } = this.#catalogue;
    const names = Object.keys(tables).map((name) => [name, sentence(spaced(name))] as const);
    byId('block').replaceChildren(
      chooser('block-name', 'Block', names, block, (value) => {
        this.#change({ block: value, options: {}, keyHighpassHz: defaultSettings.keyHighpassHz });
        this.#showBlock();
        byId('block-name').focus();
      }),
    );
    byId('parameters').replaceChildren(
      ...controlsFor({
        prefix: 'parameter',
        table: tables[block],
        values: options,
        descriptions: descriptions[block] ?? {},
        sampleRateHz: this.#sampleRateHz,
        onChange: (name, value) => this.#change({ options: this.#changed(name, value) }),
      }),
    );
    this.#showPath();
    showEquations(block);
  }

  /** Options with one more of them changed; defaults are left out. */
  #changed(name: string, value: number | string | boolean): BlockOptions {
    const { block, options } = this.#settings;
    const { [name]: _, ...rest } = options;
    return value === this.#catalogue.tables[block][name].default ? rest : { ...rest, [name]: value };
  }

  /** What stands beside the block: the detector's filter, and the input added to the output. */
  #showPath(): void {
    const { block, dry, keyHighpassHz } = this.#settings;
    const listens = this.#catalogue.listening.includes(block);
    const heard = controlsFor({
      prefix: 'path',
      table: { detectorHighpassHz: keyHighpassRow },
      values: { detectorHighpassHz: keyHighpassHz },
      descriptions: keyDescriptions,
      sampleRateHz: this.#sampleRateHz,
      onChange: (_, value) => this.#change({ keyHighpassHz: value as number }),
    });
    const choices = dryChoices.map((name) => [name, dryWords[name]] as const);
    byId('path').replaceChildren(
      ...(listens ? heard : []),
      chooser('dry', 'Added to the output', choices, dry, (value) => this.#change({ dry: value as DryChoice })),
    );
  }
}

function showEquations(block: string): void {
  const list = (equations[block] ?? []).flatMap(([words, mathml]) => {
    const formula = make('div', { class: 'equation' });
    formula.innerHTML = mathml; // made when the page was built
    return [make('p', {}, `${words}:`), formula];
  });
  byId('equations').replaceChildren(make('h3', {}, `Equations of the ${spaced(block)}`), ...list);
}
