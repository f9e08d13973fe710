/**
 * Base64 to bytes: a worklet has no `atob`.
 *
 * Source: RFC 4648, section 4.
 *
 * @module
 */
const DIGITS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** The bytes of a text without line breaks, padded by `=` or not. */
export function decodeBase64(text: string): Uint8Array<ArrayBuffer> {
  const digits = text.replace(/=+$/, '');
  const bytes = new Uint8Array(Math.floor((digits.length * 6) / 8));
  let bits = 0,
    value = 0,
    at = 0;
  for (const digit of digits) {
    value = ((value << 6) | DIGITS.indexOf(digit)) & 0xffff;
    bits += 6;
    if (bits < 8) continue;
    bits -= 8;
    bytes[at++] = value >> bits;
  }
  return bytes;
}
