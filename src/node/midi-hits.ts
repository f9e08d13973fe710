/**
 * Hits as a standard MIDI file, and back.
 *
 *     hit: drum, sample, velocity  <-->  note on: note, tick, velocity 1 to 127
 *
 * Written with 30 000 ticks to a beat at 120 beats a minute, so that a tick is 1/60 of a millisecond; velocities are rounded, and
 * what is softer than 1 becomes 1, because 0 would mean the end of the note. Read with any tempo, changes included, or
 * any frame rate.
 *
 * Source: MIDI Manufacturers Association, "Standard MIDI Files 1.0", 1988; bytes by the package midi-file.
 *
 * @module
 */
import { type MidiData, type MidiEvent, parseMidi, writeMidi } from 'midi-file';
import { requireRange } from '../core/check.ts';
import { type Hit, type HitList, hitListOf, hitRanges } from '../hits/hit-list.ts';
import { dbOfVelocity, type VelocityCurveOptions } from '../hits/velocity.ts';
import { drumOf, noteOf, PERCUSSION_CHANNEL, type PercussionNotes, percussionNotes } from './percussion-notes.ts';

/** How hits become notes, or notes hits. */
export interface MidiHitsOptions {
  /** Note of each drum; `percussionNotes()` unless given. */
  readonly notes?: PercussionNotes | undefined;
  /** Curve by which a velocity that has been read becomes a level. */
  readonly curve?: VelocityCurveOptions | undefined;
}

const TICKS_PER_BEAT = 30000; // a division has 15 bits
const BEAT_MICROSECONDS = 500000; // what a file without a tempo means
const TICKS_PER_SECOND = (TICKS_PER_BEAT * 1e6) / BEAT_MICROSECONDS;
const NOTE_TICKS = 3000; // 50 ms: drums do not mind the end of a note, other programs want one

/** @throws TypeError for a drum without a note, RangeError for a note that is none */
export function hitsToMidi(list: HitList, options: MidiHitsOptions = {}): Uint8Array {
  const { notes = percussionNotes() } = options;
  const timed = list.hits.flatMap(({ drum, sample, velocity }) => {
    const noteNumber = noteOf('hitsToMidi', drum, notes);
    const tick = Math.round((sample / list.sampleRateHz) * TICKS_PER_SECOND);
    const loudness = Math.min(127, Math.max(1, Math.round(velocity)));
    const note = { channel: PERCUSSION_CHANNEL, noteNumber };
    return [
      { tick, event: { ...note, type: 'noteOn' as const, velocity: loudness } },
      { tick: tick + NOTE_TICKS, event: { ...note, type: 'noteOff' as const, velocity: 0 } },
    ];
  });
  let last = 0;
  const track: MidiEvent[] = [{ deltaTime: 0, meta: true, type: 'setTempo', microsecondsPerBeat: BEAT_MICROSECONDS }];
  for (const { tick, event } of timed.sort((a, b) => a.tick - b.tick)) {
    track.push({ ...event, deltaTime: tick - last });
    last = tick;
  }
  track.push({ deltaTime: 0, meta: true, type: 'endOfTrack' });
  const header = { format: 0 as const, numTracks: 1, ticksPerBeat: TICKS_PER_BEAT };
  return Uint8Array.from(writeMidi({ header, tracks: [track] }));
}

/**
 * The notes of channel 10 as hits, their source `imported`, their confidence 1.
 *
 * @throws TypeError if the bytes are no standard MIDI file of one song; RangeError for a note before the beginning, or so late
 *   that no list can hold it
 */
export function hitsFromMidi(bytes: Uint8Array, sampleRateHz: number, options: MidiHitsOptions = {}): HitList {
  const { notes = percussionNotes(), curve } = options;
  const { header, tracks } = parsed(bytes);
  const events = tracks.flatMap(timed).sort((a, b) => a.tick - b.tick);
  const secondsAt = clockOf(header, events);
  const hits = events.flatMap(({ tick, event }): Hit[] => {
    if (event.type !== 'noteOn' || event.channel !== PERCUSSION_CHANNEL) return [];
    const { noteNumber, velocity } = event;
    const { min, max } = hitRanges.sample;
    const sample = requireRange('hitsFromMidi: sample of a note', secondsAt(tick) * sampleRateHz, min, max);
    const place = { drum: drumOf(noteNumber, notes), sample };
    return [{ ...place, velocityDb: dbOfVelocity(velocity, curve), velocity, confidence: 1, source: 'imported' }];
  });
  return hitListOf(sampleRateHz, hits);
}

interface TimedEvent {
  readonly tick: number;
  readonly event: MidiEvent;
}

function timed(track: readonly MidiEvent[]): TimedEvent[] {
  let tick = 0;
  return track.map((event) => ({ tick: (tick += event.deltaTime), event }));
}

function parsed(bytes: Uint8Array): MidiData {
  let data: MidiData;
  try {
    data = parseMidi(guarded(bytes));
  } catch (fault) {
    const why = fault instanceof Error ? fault.message : String(fault); // the package throws texts
    throw new TypeError(`hitsFromMidi: bytes must be a standard MIDI file, but ${why}`, { cause: fault });
  }
  const { format } = data.header;
  if (format !== 0 && format !== 1) throw new TypeError(`hitsFromMidi: format must be 0 or 1, got ${String(format)}`);
  return data;
}

/** Bytes behind whose end nothing can be read: the package would read on there, and in some files for ever. */
function guarded(bytes: Uint8Array): Uint8Array {
  const outside = 'a length leads out of the file';
  return new Proxy(bytes, {
    get(target, name): unknown {
      if (name === 'length') return target.length;
      if (name === 'slice') {
        return (from: number, to: number) => {
          if (!(from <= to && to <= target.length)) throw new RangeError(outside);
          return guarded(target.slice(from, to));
        };
      }
      const value: unknown = Reflect.get(target, name, target);
      if (value === undefined) throw new RangeError(outside);
      return value;
    },
  });
}

/** Seconds of a tick, by the tempo changes on the way or the frames of the header. */
function clockOf(header: MidiData['header'], events: readonly TimedEvent[]): (tick: number) => number {
  const { ticksPerBeat, framesPerSecond, ticksPerFrame } = header;
  if (framesPerSecond && ticksPerFrame) return (tick) => tick / (framesPerSecond * ticksPerFrame);
  if (!ticksPerBeat) throw new TypeError(`hitsFromMidi: division must be ticks to a beat or to a frame`);
  const secondsPerTick = (microsecondsPerBeat: number) => microsecondsPerBeat / 1e6 / ticksPerBeat;
  const stretches = [{ tick: 0, seconds: 0, slope: secondsPerTick(BEAT_MICROSECONDS) }];
  for (const { tick, event } of events) {
    if (event.type !== 'setTempo') continue;
    const before = stretches[stretches.length - 1];
    const seconds = before.seconds + (tick - before.tick) * before.slope;
    stretches.push({ tick, seconds, slope: secondsPerTick(event.microsecondsPerBeat) });
  }
  return (tick) => {
    const stretch = stretches.findLast((each) => each.tick <= tick) ?? stretches[0];
    return stretch.seconds + (tick - stretch.tick) * stretch.slope;
  };
}
