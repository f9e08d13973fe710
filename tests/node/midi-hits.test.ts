import { describe, expect, it } from 'vitest';
import { hitListOf } from '../../src/hits/hit-list.ts';
import { dbOfVelocity } from '../../src/hits/velocity.ts';
import { hitsFromMidi, hitsToMidi } from '../../src/node/midi-hits.ts';
import { percussionNotes } from '../../src/node/percussion-notes.ts';
import { hitAt } from '../hits/hits-support.ts';

/** A file by hand, after the standard: header chunk, then one track chunk of the given bytes. */
function midiFile(division: readonly [number, number], track: readonly number[], format = 0): Uint8Array {
  const text = (name: string) => [...name].map((letter) => letter.charCodeAt(0));
  const body = [...track, 0, 0xff, 0x2f, 0];
  return Uint8Array.from([
    ...text('MThd'),
    ...[0, 0, 0, 6, 0, format, 0, 1, ...division],
    ...text('MTrk'),
    ...[0, 0, body.length >> 8, body.length & 255],
    ...body,
  ]);
}

describe('hits as a MIDI file', () => {
  const list = hitListOf(48000, [
    hitAt(0, { drum: 'kick', velocity: 127 }),
    hitAt(24000.25, { drum: 'snare', velocity: 63.6 }),
    hitAt(24001, { drum: 'tom2', velocity: 0.2 }),
    hitAt(48000 * 3600, { drum: 'hat', velocity: 1 }),
  ]);

  it('keeps drums, times to 1/120 ms and velocities to a half', () => {
    const back = hitsFromMidi(hitsToMidi(list), 48000);
    expect(back.hits.map(({ drum, velocity }) => [drum, velocity])).toEqual([
      ['kick', 127],
      ['snare', 64],
      ['tom2', 1],
      ['hat', 1],
    ]);
    back.hits.forEach(({ sample, velocity, velocityDb, source }, i) => {
      expect(Math.abs(sample - list.hits[i].sample)).toBeLessThanOrEqual(0.4001); // 48 samples / 120
      expect(velocityDb).toBe(dbOfVelocity(velocity));
      expect(source).toBe('imported');
    });
  });

  it('reads a file written by hand: 96 ticks to a beat, a tempo change, running status, other channels left alone', () => {
    const track = [
      ...[0, 0xff, 0x51, 3, 0x0f, 0x42, 0x40], // 1 000 000 microseconds to a beat
      ...[96, 0x99, 36, 100], // at 1 s
      ...[0, 0x90, 60, 100], // a note of channel 1
      ...[96, 0x99, 38, 20, 0, 42, 0], // at 2 s a soft one, and a velocity of 0, which ends a note
      ...[0, 0xff, 0x51, 3, 0x07, 0xa1, 0x20], // 500 000
      ...[0x81, 0x40, 0x99, 56, 64], // 192 ticks later: at 3 s
    ];
    expect(
      hitsFromMidi(midiFile([0, 96], track), 1000 * 48).hits.map(({ drum, sample, velocity }) => [
        drum,
        sample,
        velocity,
      ]),
    ).toEqual([
      ['kick', 48000, 100],
      ['snare', 96000, 20],
      ['note 56', 144000, 64],
    ]);
    const named = hitsFromMidi(midiFile([0, 96], track), 48000, { notes: { ...percussionNotes(), cowbell: 56 } });
    expect(named.hits[2].drum).toBe('cowbell');
  });

  it('reads times in frames: 25 to a second, 40 ticks to a frame', () => {
    const { hits } = hitsFromMidi(midiFile([0xe7, 40], [0x87, 0x68, 0x99, 44, 90]), 48000); // 1000 ticks
    expect(hits.map(({ drum, sample }) => [drum, sample])).toEqual([['hat', 48000]]);
  });

  it('is refused where it ends too early, wherever that is', () => {
    const whole = hitsToMidi(list);
    const unexpected = Array.from(whole.keys()).filter((length) => {
      try {
        hitsFromMidi(whole.slice(0, length), 48000);
        return true;
      } catch (error) {
        return !(error instanceof TypeError && error.message.startsWith('hitsFromMidi: '));
      }
    });
    expect(whole.length).toBeGreaterThan(60);
    expect(unexpected).toEqual([14]); // a header that promises a track, and nothing behind it: no hits
  });

  it('is refused where a text has a length below 0, which the parser alone would read for ever', () => {
    const below = [0x88, 0x80, 0x80, 0x80, 0]; // 8 x 2^28 does not fit 32 bits with a sign
    expect(() => hitsFromMidi(midiFile([0, 96], [0, 0xff, 0x01, ...below]), 48000)).toThrow(
      'hitsFromMidi: bytes must be a standard MIDI file, but a length leads out of the file',
    );
  });

  it('is refused where it makes no sense', () => {
    expect(() => hitsToMidi(hitListOf(48000, [hitAt(0, { drum: 'snair' })]))).toThrow(
      'hitsToMidi: snair has no note; the nearest name is snare',
    );
    expect(() => hitsToMidi(list, { notes: { ...percussionNotes(), kick: 128 } })).toThrow(
      'hitsToMidi: notes.kick must be 0 to 127, got 128',
    );
    expect(() => hitsFromMidi(new Uint8Array(100), 48000)).toThrow('hitsFromMidi: bytes must be a standard MIDI file');
    expect(() => hitsFromMidi(midiFile([0, 96], [], 2), 48000)).toThrow('format must be 0 or 1, got 2');
  });
});
