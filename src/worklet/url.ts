/**
 * Address of the processor script beside this module; bundlers turn it into an asset.
 * @module
 */

/** Where `processors.js` lies. */
export const processorsUrl: URL = new URL('./processors.js', import.meta.url);
