/**
 * `npm run test:browsers`: every block through the worklet in three engines. Installs what is missing where it may
 * (Debian, as root), and names it where it may not.
 */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';

/** Debian package, and a file that it brings. */
const PACKAGES = {
  chromium: '/usr/bin/chromium',
  'firefox-esr': '/usr/bin/firefox-esr',
  'webkit2gtk-driver': '/usr/bin/WebKitWebDriver',
  xvfb: '/usr/bin/Xvfb',
  'gstreamer1.0-plugins-base': undefined,
  'gstreamer1.0-plugins-good': undefined,
};

/**
 * @param {string} command
 * @param {string[]} args
 */
const run = (command, args) => spawnSync(command, args, { stdio: 'inherit' }).status;

const missing = Object.values(PACKAGES).some((file) => file !== undefined && !existsSync(file));
if (missing && process.getuid?.() === 0 && existsSync('/usr/bin/apt-get')) {
  run('apt-get', ['update', '-qq']);
  run('apt-get', ['install', '-y', '-qq', '--no-install-recommends', ...Object.keys(PACKAGES)]);
} else if (missing) {
  console.log(`Not all engines are here. On Debian: apt-get install ${Object.keys(PACKAGES).join(' ')}`);
}
process.exitCode = run('npx', ['--no-install', 'vitest', 'run', '--config', 'vitest.browsers.config.ts']) ?? 1;
