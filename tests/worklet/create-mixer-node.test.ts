/** The page's side of a mixer node: what it refuses, what it sends. The node itself is a stand-in. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { demoPlan } from '../../src/node/demo-plan.ts';
import { createMixerNode } from '../../src/worklet/create-mixer-node.ts';
import { mixerLayout } from '../../src/worklet/mixer-meters.ts';
import type { MixerSettings } from '../../src/worklet/messages.ts';

interface Made {
  readonly name: string;
  readonly options: AudioWorkletNodeOptions & { processorOptions: MixerSettings };
  readonly posted: Record<string, unknown>[];
  readonly port: { onmessage?: (event: { data: unknown }) => void };
  onprocessorerror?: (event: { message: string }) => void;
}

const context = { sampleRate: 48000 } as BaseAudioContext;
let nodes: Made[] = [];

beforeEach(() => {
  nodes = [];
  vi.stubGlobal(
    'AudioWorkletNode',
    class {
      readonly posted: Record<string, unknown>[] = [];
      readonly port = { postMessage: (message: Record<string, unknown>) => this.posted.push(message) };
      readonly name: string;
      readonly options: unknown;
      constructor(_: unknown, name: string, options: unknown) {
        this.name = name;
        this.options = options;
        nodes.push(this as unknown as Made);
      }
    },
  );
});
afterEach(() => vi.unstubAllGlobals());

const plan = (more: object = {}) => ({
  version: 1,
  inputs: { kick: { file: 'kick.wav' }, rooms: { file: 'rooms.wav' }, hall: { file: 'hall.wav' } },
  channels: {
    rooms: { input: 'rooms', output: 'drums' },
    kick: { input: 'kick', chain: [{ type: 'gate', lookaheadMs: 2 }], sends: [{ to: 'drums', gainDb: -6 }] },
  },
  buses: { drums: { chain: [{ type: 'equaliser', bands: [{ type: 'peaking' }] }] } },
  output: { file: 'mix.wav' },
  ...more,
});

describe('createMixerNode', () => {
  it('has an input for each recording that is heard, with as many channels as it is told', () => {
    const mixer = createMixerNode(context, plan(), { inputChannels: { rooms: 2 }, meterFrames: 1024 });
    expect(mixer.inputs).toEqual(['rooms', 'kick']);
    expect(nodes[0].name).toBe('batterhead-mixer');
    expect(nodes[0].options).toMatchObject({ numberOfInputs: 2, outputChannelCount: [2], channelCount: 2 });
    expect(nodes[0].options.processorOptions.inputs).toEqual([
      { name: 'rooms', channels: 2 },
      { name: 'kick', channels: 1 },
    ]);
    expect(() => structuredClone(nodes[0].options.processorOptions)).not.toThrow();
    expect(mixer.getLatencySamples()).toBe(96); // the look-ahead of 2 ms
  });

  it('sends values to faders, sends, blocks and bands', () => {
    const mixer = createMixerNode(context, plan());
    mixer.setAt('channels.kick.gainDb', -3, 480);
    mixer.setAt('channels.kick.sends[0].gainDb', -9);
    mixer.setAt('channels.kick.chain[0].thresholdDb', -30);
    mixer.setAt('buses.drums.chain[0].bands[0].gainDb', 2);
    const event = (name: string, value: number, band = -1, send = -1) => ({ sample: 0, name, value, band, send });
    expect(nodes[0].posted).toEqual([
      { kind: 'value', strip: 'channels.kick', block: -1, frame: 480, event: event('gainDb', -3) },
      { kind: 'value', strip: 'channels.kick', block: -1, frame: 0, event: event('gainDb', -9, -1, 0) },
      { kind: 'value', strip: 'channels.kick', block: 0, frame: 0, event: event('thresholdDb', -30) },
      { kind: 'value', strip: 'buses.drums', block: 0, frame: 0, event: event('gainDb', 2, 0) },
    ]);
  });

  it('refuses, before anything is sent, what a plan could not have', () => {
    const mixer = createMixerNode(context, plan());
    expect(() => mixer.setAt('channels.kick.gainDb', 99)).toThrow('setAt.value must be -120 to 24, got 99');
    expect(() => mixer.setAt('channels.kik.gainDb', 0)).toThrow(/^setAt\.target .*the nearest name is kick/);
    expect(() => mixer.setAt('channels.kick.chain[0].lookaheadMs', 1)).toThrow('fixed at construction');
    expect(nodes[0].posted).toEqual([]);
  });

  it.each([
    [
      'hits',
      { hits: { drums: { kick: { microphone: 'kick', kind: 'kick' } } } },
      {},
      'hits must be left out of the plan',
    ],
    [
      'an alignment that is not there',
      { alignment: { drums: { kick: ['kick'] }, overheads: ['rooms'] } },
      {},
      'alignment must be given',
    ],
    [
      'an impulse response that is not there',
      { mixBus: { chain: [{ type: 'convolutionReverb', impulse: 'hall' }] } },
      {},
      'impulses.hall must be given',
    ],
    ['too many channels', {}, { inputChannels: { kick: 33 } }, 'inputChannels.kick must be 1 to 32, got 33'],
    ['three channels of which none is named', {}, { inputChannels: { kick: 3 } }, 'inputs.kick: channels of the file'],
    ['a frame before the first', {}, { startFrame: -1 }, 'startFrame must be'],
  ])('refuses %s', (_, more, options, message) => {
    expect(() => createMixerNode(context, plan(more), options)).toThrow(message);
    expect(nodes).toEqual([]);
  });

  it('takes moves that were found, and those set by hand', () => {
    const moves = { kick: { delaySamples: -12.5, polarity: 1 as const } };
    createMixerNode(context, demoPlan, { alignment: { moves: { kickIn: moves.kick }, leadSamples: 60 } });
    const byHand = createMixerNode(context, plan({ alignment: { method: 'off', drums: {}, overheads: [], moves } }));
    expect(nodes.map(({ options }) => options.processorOptions.alignment.leadSamples)).toEqual([60, 60]);
    expect(byHand.getLatencySamples()).toBe(96 + 60);
  });

  it('hands over meters and errors', () => {
    const mixer = createMixerNode(context, plan(), { meterFrames: 1024 });
    expect(mixer.getMeters()).toBeUndefined();
    const { length } = mixerLayout(nodes[0].options.processorOptions.plan);
    nodes[0].port.onmessage?.({ data: { kind: 'meters', values: Float64Array.from({ length }, (_, i) => i) } });
    expect(mixer.getMeters()).toMatchObject({ frame: 0, peak: 1, strips: { 'channels.rooms': { peak: 2 } } });
    expect(nodes[0].posted[0].kind).toBe('meters'); // the buffer goes back
    const said: string[] = [];
    mixer.onError = (message) => said.push(message);
    nodes[0].onprocessorerror?.({ message: 'out of memory' });
    expect(said).toEqual(['the processor stopped: out of memory']);
  });

  it('says that the processors must be loaded first', () => {
    vi.stubGlobal('AudioWorkletNode', function refuse() {
      throw new Error('unknown name');
    });
    expect(() => createMixerNode(context, plan())).toThrow('await addProcessors(context) first');
  });
});
