/**
 * Loading the processors into an audio context, and saying what is wrong when that fails.
 * @module
 */
import source from './processors.ts?bundle-text';

/** Text of the processor script, for hosts that load it in their own way. */
export const processorsSource: string = source;

/**
 * Registers all processors in an audio context, live or offline. Once per context is enough; again does no harm.
 *
 * @param url - where `batterhead/worklet/processors.js` is served. Left out, the copy inside this module is loaded as a
 *   Blob, which needs nothing of a bundler or a server but a Content-Security-Policy without objections.
 * @throws Error that says what failed: no secure context, a blocked Blob, a script that is not there
 */
export async function addProcessors(context: BaseAudioContext, url?: string | URL): Promise<void> {
  if (!('audioWorklet' in context) || (context.audioWorklet as unknown) === undefined) {
    throw new Error(
      'addProcessors: this page has no AudioWorklet, because it is no secure context: serve it over https, or from ' +
        'localhost',
    );
  }
  const loading = loaded.get(context) ?? load(context, url);
  loaded.set(context, loading);
  try {
    await loading;
  } catch (error) {
    loaded.delete(context);
    throw error;
  }
}

/** Contexts that have the processors: a name can be registered once only. */
const loaded = /* @__PURE__ */ new WeakMap<BaseAudioContext, Promise<void>>();

async function load(context: BaseAudioContext, url?: string | URL): Promise<void> {
  if (url !== undefined) {
    try {
      await context.audioWorklet.addModule(String(url));
    } catch (cause) {
      throw new Error(`addProcessors: ${url} could not be loaded as a script: is it served, as JavaScript?`, { cause });
    }
    return;
  }
  const blobUrl = URL.createObjectURL(new Blob([source], { type: 'text/javascript' }));
  try {
    await context.audioWorklet.addModule(blobUrl);
  } catch (cause) {
    throw new Error(
      'addProcessors: the embedded script was not loaded, probably because the Content-Security-Policy of this page ' +
        'forbids blob: scripts. Serve batterhead/worklet/processors.js and hand over its address',
      { cause },
    );
  } finally {
    URL.revokeObjectURL(blobUrl);
  }
}
