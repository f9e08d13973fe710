/** SHA-256 of samples, little-endian as all engines here are; Node and browsers have the same function for it. */
export async function digest(channels: readonly Float32Array[]): Promise<string> {
  const bytes = new Uint8Array(channels.reduce((sum, x) => sum + x.byteLength, 0));
  let at = 0;
  for (const x of channels) {
    bytes.set(new Uint8Array(x.buffer, x.byteOffset, x.byteLength), at);
    at += x.byteLength;
  }
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
