/** WAV files built byte by byte for the tests, with nothing from `src/`. */

const ascii = (text: string): number[] => [...text].map((character) => character.charCodeAt(0));

export const u16 = (value: number): number[] => [value & 0xff, (value >>> 8) & 0xff];
export const u32 = (value: number): number[] => [...u16(value & 0xffff), ...u16(value >>> 16)];
export const u64 = (value: number): number[] => [...u32(value % 2 ** 32), ...u32(Math.floor(value / 2 ** 32))];

/** A chunk with its pad byte; `size` may lie. */
export function chunk(id: string, content: readonly number[], size: number = content.length): number[] {
  return [...ascii(id), ...u32(size), ...content, ...(content.length % 2 === 1 ? [0] : [])];
}

/** A file of chunks; `riffSize` may lie. */
export function riff(chunks: readonly (readonly number[])[], id = 'RIFF', riffSize?: number): Uint8Array {
  const content = chunks.flat();
  return Uint8Array.from([...ascii(id), ...u32(riffSize ?? content.length + 4), ...ascii('WAVE'), ...content]);
}

export interface FormatFields {
  tag?: number;
  channels?: number;
  rate?: number;
  bits?: number;
  bytesPerFrame?: number;
}

/** Content of a plain "fmt " chunk: 16-bit integers, mono, 48 kHz unless told otherwise. */
export function format({ tag = 1, channels = 1, rate = 48000, bits = 16, bytesPerFrame }: FormatFields = {}): number[] {
  const align = bytesPerFrame ?? channels * Math.ceil(bits / 8);
  return [...u16(tag), ...u16(channels), ...u32(rate), ...u32(rate * align), ...u16(align), ...u16(bits)];
}

/** Content of an extensible "fmt " chunk. */
export function extensibleFormat(
  fields: FormatFields & { validBits?: number; mask?: number; guidTail?: string },
): number[] {
  const { tag = 1, bits = 16, validBits = bits, mask = 0, guidTail = '000000001000800000aa00389b71' } = fields;
  const tail = guidTail.match(/../g)!.map((digits) => parseInt(digits, 16));
  return [...format({ ...fields, tag: 0xfffe }), ...u16(22), ...u16(validBits), ...u32(mask), ...u16(tag), ...tail];
}

export const fromHex = (hex: string): Uint8Array =>
  Uint8Array.from(hex.match(/../g)!.map((digits) => parseInt(digits, 16)));
