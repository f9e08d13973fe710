/**
 * The end of a program by hand.
 * @module
 */

/** Aborts when somebody stops the program, which then tidies up. */
export function stopSignal(): AbortSignal {
  const controller = new AbortController();
  for (const name of ['SIGINT', 'SIGTERM'] as const) {
    process.once(name, () => {
      controller.abort(new Error('stopped'));
    });
  }
  return controller.signal;
}
