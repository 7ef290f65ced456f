import { existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';

/** A browser that is installed here: none is downloaded. */

const places = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'];

/** Path of a browser; undefined where there is none. `CHROMIUM_PATH` names another. */
const browserPath = [process.env.CHROMIUM_PATH ?? '', ...places].find(
  (path) => path !== '' && existsSync(path),
);

/** Whether a missing browser is a failure and no reason to skip: `.ci/run` sets it. */
const isRequired = process.env.REQUIRE_BROWSER === '1';

/** Whether tests in a browser are left out, and a name for their suite that says why. */
export function browserSuite(name: string): { readonly isSkipped: boolean; readonly name: string } {
  const isSkipped = browserPath === undefined && !isRequired;
  const why = ' (skipped: no Chromium here; apt-get install chromium, or set CHROMIUM_PATH)';
  return { isSkipped, name: isSkipped ? `${name}${why}` : name };
}

/** @throws Error where there is none and `REQUIRE_BROWSER` asks for one */
export function openBrowser(): Promise<Browser> {
  if (browserPath === undefined) throw new Error('REQUIRE_BROWSER is set, and there is no Chromium');
  return chromium.launch({
    executablePath: browserPath,
    args: ['--disable-gpu', '--disable-dev-shm-usage', '--disable-background-networking'],
  });
}

/** How a reader has it. */
export interface Reader {
  readonly width?: number;
  readonly colours?: 'light' | 'dark';
  readonly javaScript?: boolean;
}

/** A page without network, and all that it asked for. */
export interface ReadPage {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Addresses that were asked for, answered or not. */
  readonly asked: readonly string[];
  /** What the console had to say. */
  readonly complaints: readonly string[];
}

/** Opens an address as a reader has it. */
export async function openAs(browser: Browser, address: string, reader: Reader = {}): Promise<ReadPage> {
  const { width = 1280, colours = 'light', javaScript = true } = reader;
  const context = await browser.newContext({
    ...{ offline: true, viewport: { width, height: 800 }, deviceScaleFactor: 1, colorScheme: colours },
    ...{ reducedMotion: 'reduce', locale: 'en-GB', timezoneId: 'UTC', javaScriptEnabled: javaScript },
  });
  const page = await context.newPage();
  const asked: string[] = [];
  const complaints: string[] = [];
  page.on('request', (request) => asked.push(request.url()));
  page.on('console', (message) => complaints.push(message.text()));
  page.on('pageerror', (error) => complaints.push(error.message));
  await page.goto(address);
  return { page, context, asked, complaints };
}

/** Rules of the audit: WCAG 2.2 A and AA, and good practice. */
const rules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** What an accessibility audit by axe-core finds fault with: `rule: first element`. */
export async function auditOf(page: Page): Promise<string[]> {
  const source = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
  // The page's own policy lets no script in: evaluating one is not asked.
  await page.evaluate(source);
  return page.evaluate(async (values) => {
    const { axe } = globalThis as unknown as { axe: Axe };
    const { violations } = await axe.run({ exclude: [] }, { runOnly: { type: 'tag', values } });
    return violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`);
  }, rules);
}

interface Axe {
  run(
    context: unknown,
    options: unknown,
  ): Promise<{ violations: readonly { id: string; nodes: readonly { html: string }[] }[] }>;
}
