/**
 * The browser engines: how each is found, started, and asked to run something in a page.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { launchChromium } from '../../scripts/chromium.mjs';

/** A page in a browser. */
export interface OpenPage {
  /** What the browser calls itself. */
  readonly version: string;
  /** Awaits `window.run(name)` in the page. */
  run(name: string): Promise<unknown>;
  close(): Promise<void>;
}

/** An engine that may or may not be on this machine. */
export interface Engine {
  readonly name: string;
  /** What is missing to start it; undefined if nothing is. */
  missing(): string | undefined;
  open(url: string): Promise<OpenPage>;
}

const firstOf = (paths: readonly string[]): string | undefined => paths.find((path) => existsSync(path));

const chromiumEngine: Engine = {
  name: 'chromium',
  missing: () => undefined,
  open: async (url) => {
    const browser = await launchChromium();
    const page = await browser.newPage();
    await page.goto(url);
    return {
      version: `Chromium ${browser.version()}`,
      run: (name) => page.evaluate((n) => (globalThis as unknown as { run(n: string): unknown }).run(n), name),
      close: () => browser.close(),
    };
  },
};

const FIREFOX = ['/usr/bin/firefox-esr', '/usr/bin/firefox'];

const firefoxEngine: Engine = {
  name: 'firefox',
  missing: () => (firstOf(FIREFOX) === undefined ? 'Firefox (Debian package firefox-esr)' : undefined),
  open: async (url) => {
    const { default: puppeteer } = await import('puppeteer-core');
    const executablePath = firstOf(FIREFOX) as string;
    const browser = await puppeteer.launch({ browser: 'firefox', executablePath, headless: true });
    const page = await browser.newPage();
    await page.goto(url);
    return {
      version: await browser.version(),
      run: (name) => page.evaluate((n) => (globalThis as unknown as { run(n: string): unknown }).run(n), name),
      close: () => browser.close(),
    };
  },
};

const MINI_BROWSER = ['x86_64', 'aarch64'].map((cpu) => `/usr/lib/${cpu}-linux-gnu/webkit2gtk-4.1/MiniBrowser`);
const WEBKIT_DRIVER = ['/usr/bin/WebKitWebDriver'];
const XVFB = ['/usr/bin/Xvfb'];
const DISPLAY = ':97';
const DRIVER_PORT = 4455;

const webkitEngine: Engine = {
  name: 'webkit',
  missing: () =>
    [MINI_BROWSER, WEBKIT_DRIVER, XVFB].every((paths) => firstOf(paths) !== undefined)
      ? undefined
      : 'WebKit (Debian packages webkit2gtk-driver xvfb gstreamer1.0-plugins-base gstreamer1.0-plugins-good)',
  open: async (url) => {
    const home = mkdtempSync(join(tmpdir(), 'batterhead-webkit-'));
    const environment = { ...process.env, DISPLAY, HOME: home, WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS: '1' };
    const processes: ChildProcess[] = [
      spawn(XVFB[0], [DISPLAY, '-screen', '0', '1024x768x24'], { stdio: 'ignore' }),
      spawn(WEBKIT_DRIVER[0], [`--port=${DRIVER_PORT}`], { stdio: 'ignore', env: environment }),
    ];
    const send = async (method: string, path: string, body?: object): Promise<unknown> => {
      const response = await fetch(`http://127.0.0.1:${DRIVER_PORT}${path}`, {
        method,
        ...(body && { body: JSON.stringify(body) }),
      });
      const { value } = (await response.json()) as { value: { error?: string; message?: string } | null };
      if (value?.error !== undefined) throw new Error(`${value.error}: ${value.message}`);
      return value;
    };
    await until(() => send('GET', '/status'));
    const capabilities = {
      alwaysMatch: { 'webkitgtk:browserOptions': { binary: firstOf(MINI_BROWSER), args: ['--automation'] } },
    };
    const session = (await send('POST', '/session', { capabilities })) as {
      sessionId: string;
      capabilities: { browserVersion?: string };
    };
    const at = `/session/${session.sessionId}`;
    await send('POST', `${at}/timeouts`, { script: 120_000 });
    await send('POST', `${at}/url`, { url });
    return {
      version: `WebKitGTK ${session.capabilities.browserVersion}`,
      run: async (name) => {
        const script =
          'const done = arguments[1]; window.run(arguments[0]).then((value) => done({ value }), (e) => done({ failed: String(e) }));';
        const result = (await send('POST', `${at}/execute/async`, { script, args: [name] })) as {
          value?: unknown;
          failed?: string;
        };
        if (result.failed !== undefined) throw new Error(result.failed);
        return result.value;
      },
      close: async () => {
        await send('DELETE', at).catch(() => undefined);
        for (const one of processes) one.kill();
        rmSync(home, { recursive: true, force: true });
      },
    };
  },
};

async function until(attempt: () => Promise<unknown>): Promise<void> {
  for (let tries = 0; ; tries++) {
    try {
      await attempt();
      return;
    } catch (error) {
      if (tries > 50) throw error;
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
  }
}

export const engines: readonly Engine[] = [chromiumEngine, firefoxEngine, webkitEngine];
