/**
 * The array format of NumPy, version 1.0: magic, header as a Python literal padded to 64 bytes, numbers.
 *
 * Source: NumPy Enhancement Proposal 1, "A Simple File Format for NumPy Arrays".
 */

/**
 * A table of 64-bit numbers as a file for `numpy.load`.
 * @param {readonly (readonly number[])[]} rows - of one length
 * @returns {Uint8Array}
 */
export function npy(rows) {
  const columns = rows[0].length;
  const dictionary = `{'descr': '<f8', 'fortran_order': False, 'shape': (${rows.length}, ${columns}), }`;
  const header = `${dictionary.padEnd(64 * Math.ceil((10 + dictionary.length + 1) / 64) - 11)}\n`;
  const bytes = new Uint8Array(10 + header.length + 8 * rows.length * columns);
  bytes.set([0x93, ...Buffer.from('NUMPY'), 1, 0, header.length & 0xff, header.length >> 8]);
  bytes.set(Buffer.from(header), 10);
  const numbers = new DataView(bytes.buffer, 10 + header.length);
  rows.flat().forEach((value, i) => {
    numbers.setFloat64(8 * i, value, true);
  });
  return bytes;
}
