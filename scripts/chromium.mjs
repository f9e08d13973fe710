/** Finds and starts Chromium. */
import { existsSync } from 'node:fs';
import { chromium } from 'playwright-core';

/** A name for this machine that browsers do not take for a secure context. */
export const INSECURE_HOST = 'insecure.test';

/** Nothing of this machine's network is asked for, and sound may start without a click. */
const FLAGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--autoplay-policy=no-user-gesture-required',
  `--host-resolver-rules=MAP ${INSECURE_HOST} 127.0.0.1`,
];

const systemChromium = () =>
  [process.env['CHROMIUM_PATH'] ?? '', '/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(
    (path) => existsSync(path),
  );

/**
 * Where the system's Chromium is, or the one that came with the development dependencies, unpacked if it is not yet.
 * @returns {Promise<string>}
 */
export async function chromiumPath() {
  return systemChromium() ?? (await import('@sparticuz/chromium')).default.executablePath();
}

/**
 * Starts it, without the flags that come with the packed one: they would keep pages from being isolated. On a machine
 * without a locale that one would call its language en-US@posix, which some pages refuse.
 */
export async function launchChromium() {
  const env = /** @type {Record<string, string>} */ ({ ...process.env, LANGUAGE: 'en_US', LC_ALL: 'en_US.UTF-8' });
  return chromium.launch({ executablePath: await chromiumPath(), args: FLAGS, env });
}
