/**
 * Files that the browser decodes. It decodes them whole, so what is too long is refused before: by the length that the
 * file tells, and by its size.
 *
 * @module
 */
import { EXCERPT_SECONDS, inWords, MOST_CHANNELS, type OpenedFile } from './opened-file.ts';
import { SAMPLE_RATE_HZ } from './signals.ts';

const MOST_SECONDS = 300;
const MOST_MEGABYTES = 100;
const PATIENCE_MS = 10_000;

const NOT_AUDIO = 'is not audio that this browser can decode. WAV always works; FLAC, MP3 and Ogg in most browsers.';

const NO_LENGTH = 'does not tell its length. Give it as WAV.';
const CUT = 'Cut an excerpt, or give it as WAV, of which the lab reads only the beginning.';

/** @throws Error in words for the page, without the name of the file in front */
export async function decodeFile(file: File): Promise<OpenedFile> {
  if (file.size === 0) throw new Error('is empty.');
  if (file.size > MOST_MEGABYTES * 1e6) {
    throw new Error(`has ${Math.round(file.size / 1e6)} MB, of which at most ${MOST_MEGABYTES} are decoded. ${CUT}`);
  }
  const seconds = await lengthOf(file);
  if (seconds > MOST_SECONDS) {
    throw new Error(`is ${inWords(seconds)} long; at most ${inWords(MOST_SECONDS)} are decoded. ${CUT}`);
  }
  let decoded: AudioBuffer;
  try {
    decoded = await new OfflineAudioContext(1, 1, SAMPLE_RATE_HZ).decodeAudioData(await file.arrayBuffer());
  } catch {
    throw new Error(NOT_AUDIO);
  }
  const { numberOfChannels, length, sampleRate } = decoded;
  const taken = Math.min(length, EXCERPT_SECONDS * sampleRate);
  const channels = Array.from({ length: Math.min(numberOfChannels, MOST_CHANNELS) }, (_, c) =>
    decoded.getChannelData(c).slice(0, taken),
  );
  return {
    sound: { sampleRateHz: sampleRate, channels },
    seconds: length / sampleRate,
    channelsInFile: numberOfChannels,
    resampled: true,
  };
}

/** What the file says about its length, without decoding it. */
function lengthOf(file: File): Promise<number> {
  return new Promise((resolve, reject) => {
    const element = new Audio();
    const url = URL.createObjectURL(file);
    const patience = setTimeout(() => finish(() => reject(new Error(NO_LENGTH))), PATIENCE_MS);
    const finish = (then: () => void) => {
      clearTimeout(patience);
      URL.revokeObjectURL(url);
      then();
    };
    element.preload = 'metadata';
    element.onloadedmetadata = () =>
      finish(() => {
        if (Number.isFinite(element.duration)) resolve(element.duration);
        else reject(new Error(NO_LENGTH));
      });
    element.onerror = () => finish(() => reject(new Error(NOT_AUDIO)));
    element.src = url;
  });
}
