/**
 * Recordings of one's own: WAV files named after the plan's inputs. Only what is taken of a file is ever read.
 *
 * Other formats are refused: what they add at the beginning would move the microphones against each other.
 *
 * @module
 */
import { resample } from 'batterhead/filters';
import { WavReader } from 'batterhead/wav';
import { SAMPLE_RATE_HZ, type Session } from './session.ts';

/** Reads without waiting; only workers have it. */
declare const FileReaderSync: new () => { readAsArrayBuffer(part: Blob): ArrayBuffer };

/** Longest that is taken. */
const MOST_SECONDS = 20;

/**
 * Reads what can be read.
 *
 * @param names - of the plan's inputs
 * @param notes - is told what was left out, and why
 * @throws Error in words if nothing could be read
 */
export function readTracks(files: readonly File[], names: readonly string[], notes: string[]): Session['tracks'] {
  const tracks: Record<string, Float32Array> = {};
  for (const file of files) {
    const name = names.find((wanted) => plain(wanted) === plain(file.name.replace(/\.[^.]*$/, '')));
    try {
      if (name === undefined) throw new Error(`is named after no input. The inputs are ${names.join(', ')}.`);
      tracks[name] = readTrack(file, notes);
    } catch (error) {
      notes.push(`${file.name} ${(error as Error).message}`);
    }
  }
  if (Object.keys(tracks).length === 0) throw new Error(notes.join(' '));
  return tracks;
}

function readTrack(file: File, notes: string[]): Float32Array {
  const reader = openWav(file);
  const { sampleRateHz, channels } = reader;
  const taken = Math.min(reader.frames, MOST_SECONDS * sampleRateHz);
  if (taken === 0) throw new Error('has no samples.');
  const all = Array.from({ length: channels }, () => new Float32Array(taken));
  reader.read(0, all);
  if (taken < reader.frames) {
    notes.push(`${file.name} is ${inWords(reader.frames / sampleRateHz)} long; its first ${MOST_SECONDS} s are taken.`);
  }
  if (channels > 1) notes.push(`${file.name} has ${channels} channels; a microphone is one, so the first is taken.`);
  if (sampleRateHz === SAMPLE_RATE_HZ) return all[0];
  notes.push(`${file.name} was converted from ${sampleRateHz / 1000} to ${SAMPLE_RATE_HZ / 1000} kHz.`);
  return Float32Array.from(resample([all[0]], sampleRateHz, SAMPLE_RATE_HZ)[0]);
}

function openWav(file: File): WavReader {
  try {
    return new WavReader({
      size: file.size,
      read: (offset, into, count) => {
        const bytes = new Uint8Array(new FileReaderSync().readAsArrayBuffer(file.slice(offset, offset + count)));
        into.set(bytes);
        return bytes.length;
      },
    });
  } catch (error) {
    throw new Error(`is no WAV file that can be read: ${(error as Error).message}`, { cause: error });
  }
}

function plain(name: string): string {
  return name.toLowerCase().replace(/[^a-z0-9]/g, '');
}

function inWords(seconds: number): string {
  return seconds < 3600
    ? `${Math.round(seconds / 60)} min`
    : `${Math.floor(seconds / 3600)} h ${Math.round((seconds % 3600) / 60)} min`;
}
