import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { reviewPage } from '../../host/report/review/review-page.js';
import { exampleReview } from '../support/example-review.js';
import { missingTool, toolPath } from '../support/missing-tool.js';
import { temporaryFolder } from '../support/temporary-folder.js';

/* The page as a reader has it: opened from a file, in a browser without network. */

const SIZES = [
  { width: 1440, height: 900 },
  { width: 390, height: 844 },
] as const;
const SCHEMES = ['light', 'dark'] as const;
const QUIET =
  '--no-sandbox --headless --disable-gpu --no-first-run --disable-background-networking --disable-component-update --disable-sync';

const folder = temporaryFolder();
const address = pathToFileURL(join(folder, 'review.html')).href;
const isMissing = missingTool('chromium', 'apt-get install chromium');

let browser: Browser;
beforeAll(async () => {
  writeFileSync(join(folder, 'review.html'), reviewPage(exampleReview()));
  if (!isMissing) browser = await chromium.launch({ executablePath: toolPath('chromium'), args: QUIET.split(' ') });
});
afterAll(async () => {
  if (!isMissing) await browser.close();
});

/** Opens the page, works with it, and checks that there was neither an error nor a network request. */
async function onPage(work: (page: Page) => Promise<void>, options: BrowserContextOptions = {}): Promise<void> {
  const context = await browser.newContext({ viewport: SIZES[0], offline: true, ...options });
  const page = await context.newPage();
  const problems: string[] = [];
  const requests: string[] = [];
  page.on('console', (message) => problems.push(`${message.type()}: ${message.text()}`));
  page.on('pageerror', (error) => problems.push(error.message));
  page.on('request', (request) => requests.push(request.url()));
  try {
    await page.goto(address);
    if (options.javaScriptEnabled !== false) await page.waitForSelector('html[data-ready=yes]', { state: 'attached' });
    await work(page);
  } finally {
    await context.close();
  }
  expect(problems).toEqual([]);
  expect(requests).toEqual([address]);
}

const unfold = (page: Page): Promise<void> =>
  page.$$eval('details', (all) => {
    for (const one of all) one.setAttribute('open', '');
  });

/** Scrolls to the plots of a run. */
async function showRun(page: Page, run: string): Promise<void> {
  await page.evaluate((id) => document.querySelector(`#${id} .plots`)?.scrollIntoView({ behavior: 'instant' }), run);
  await page.waitForSelector(`#${run} .lanes svg`);
}

/** Visible ranges of all plots and lanes of a run, ticks. */
const ranges = (page: Page, run: string): Promise<[number, number][]> =>
  page.$$eval(`#${run} .plot, #${run} .lanes`, (hosts) =>
    hosts.map((host) => [Number((host as HTMLElement).dataset.from), Number((host as HTMLElement).dataset.to)] as [number, number]),
  );

/** The common visible range of all plots and lanes of a run. */
async function rangeOf(page: Page, run: string): Promise<[number, number]> {
  const all = await ranges(page, run);
  // Eight plots and the lanes.
  expect(all).toHaveLength(9);
  for (const range of all) expect(range).toEqual(all[0]);
  return all[0] ?? [0, 0];
}

/** Number of painted pixels of each plot of a run. */
const inked = (page: Page, run: string): Promise<number[]> =>
  page.$$eval(`#${run} .plot canvas`, (canvases) =>
    (canvases as HTMLCanvasElement[]).map((canvas) => {
      const { data } = canvas.getContext('2d')?.getImageData(0, 0, canvas.width, canvas.height) ?? { data: [] };
      return Array.from(data).filter((value, index) => index % 4 === 3 && value > 0).length;
    }),
  );

/** Contrast of all texts to their background by WCAG 2.2, lowest first, with the text. */
const contrasts = (page: Page): Promise<[number, string][]> =>
  page.evaluate(() => {
    const numbers = (colour: string): number[] => (colour.match(/[\d.]+/g) ?? []).map(Number);
    const light = ([r = 0, g = 0, b = 0]: number[]): number => {
      const [red = 0, green = 0, blue = 0] = [r, g, b].map((part) => {
        const share = part / 255;
        return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    };
    const ground = (element: Element | null): number[] => {
      if (element === null) return [255, 255, 255];
      const colour = numbers(getComputedStyle(element).backgroundColor);
      return colour.length === 4 && colour[3] === 0 ? ground(element.parentElement) : colour;
    };
    const found = [...document.querySelectorAll<HTMLElement>('body *')].flatMap((element): [number, string][] => {
      const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent?.trim() !== '');
      if (!own || !element.checkVisibility() || element.closest('script, style, svg') !== null) return [];
      const [a, b] = [light(numbers(getComputedStyle(element).color)), light(ground(element))];
      return [[(Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), element.textContent ?? '']];
    });
    return found.sort((one, other) => one[0] - other[0]);
  });

const ground = (page: Page): Promise<string> => page.evaluate(() => getComputedStyle(document.body).backgroundColor);

describe.skipIf(isMissing)('the page of a review in a browser', () => {
  it('draws all plots and lanes of a run', () =>
    onPage(async (page) => {
      await showRun(page, 'run-2');
      const pixels = await inked(page, 'run-2');
      expect(pixels).toHaveLength(8);
      for (const count of pixels) expect(count).toBeGreaterThan(2000);
      expect(await rangeOf(page, 'run-2')).toEqual([0, 12_000]);
      const paths = await page.$$eval('#run-2 .lanes path', (all) => all.map((path) => path.getAttribute('d') ?? ''));
      expect(paths.filter((path) => path.length > 200).length).toBeGreaterThanOrEqual(8);
    }));

  it('a stroke in the list shows its place in the plots, with a lane of differences below each curve that differs', () =>
    onPage(async (page) => {
      await showRun(page, 'run-2');
      await unfold(page);
      const row = page.locator('#run-2 .strokes tbody tr').nth(2);
      const tick = Number(await row.locator('td').nth(3).textContent());
      await row.locator('button.jump').click();
      expect(await rangeOf(page, 'run-2')).toEqual([tick - 60, tick + 60]);
      const lanes = await page.$$eval('#run-2 .apart path.apart', (all) => all.map((path) => path.getAttribute('d') ?? ''));
      expect(lanes).toHaveLength(8);
      expect(lanes.filter((path) => path !== '').length).toBeGreaterThan(3);
    }));

  it('a drag zooms all plots and lanes of its run only; a double click resets them', () =>
    onPage(async (page) => {
      await showRun(page, 'run-3');
      await showRun(page, 'run-2');
      const box = await page.locator('#run-2 .plot .u-over').nth(1).boundingBox();
      if (box === null) throw new Error('no plot');
      const y = box.y + box.height / 2;
      await page.mouse.move(box.x + box.width * 0.25, y);
      await page.mouse.down();
      await page.mouse.move(box.x + box.width * 0.4, y, { steps: 4 });
      await page.mouse.move(box.x + box.width * 0.5, y, { steps: 4 });
      await page.mouse.up();
      const [from, to] = await rangeOf(page, 'run-2');
      // A quarter and a half of 12 000 ticks; a pixel is 10 ticks.
      expect(Math.abs(from - 3000)).toBeLessThan(25);
      expect(Math.abs(to - 6000)).toBeLessThan(25);
      expect(await rangeOf(page, 'run-3')).toEqual([0, 12_000]);
      await page.mouse.dblclick(box.x + box.width / 2, y);
      expect(await rangeOf(page, 'run-2')).toEqual([0, 12_000]);
    }));

  it('the keys + − ← → 0 zoom and move', () =>
    onPage(async (page) => {
      await showRun(page, 'run-2');
      await page.locator('#run-2 .strip').focus();
      await page.keyboard.press('+');
      expect(await rangeOf(page, 'run-2')).toEqual([3000, 9000]);
      await page.keyboard.press('ArrowRight');
      expect(await rangeOf(page, 'run-2')).toEqual([4200, 10_200]);
      await page.keyboard.press('ArrowLeft');
      await page.keyboard.press('ArrowLeft');
      expect(await rangeOf(page, 'run-2')).toEqual([1800, 7800]);
      await page.keyboard.press('-');
      expect(await rangeOf(page, 'run-2')).toEqual([0, 12_000]);
      await page.keyboard.press('+');
      await page.keyboard.press('0');
      expect(await rangeOf(page, 'run-2')).toEqual([0, 12_000]);
    }));

  it('keys work on a run after a click on its plots', () =>
    onPage(async (page) => {
      await showRun(page, 'run-2');
      await page.locator('#run-2 .plot .u-over').nth(1).click();
      await page.keyboard.press('+');
      expect(await rangeOf(page, 'run-2')).toEqual([3000, 9000]);
    }));

  it('buttons show the ticks around the first difference, and the whole run', () =>
    onPage(async (page) => {
      await showRun(page, 'run-2');
      const around = page.locator('#run-2').getByRole('button', { name: 'around the first difference' });
      await around.click();
      // The first difference is at tick 3127.
      expect(await rangeOf(page, 'run-2')).toEqual([3102, 3152]);
      expect(await around.getAttribute('aria-pressed')).toBe('true');
      for (const count of await inked(page, 'run-2')) expect(count).toBeGreaterThan(1000);
      await page.locator('#run-2').getByRole('button', { name: 'whole run' }).click();
      expect(await rangeOf(page, 'run-2')).toEqual([0, 12_000]);
      expect(await around.getAttribute('aria-pressed')).toBe('false');
    }));

  it('shows both values under the cursor', () =>
    onPage(async (page) => {
      await showRun(page, 'run-2');
      await page.locator('#run-2 .plot .u-over').nth(5).hover();
      const readout = await page.locator('#run-2 .readout').nth(5).textContent();
      expect(readout).toMatch(/^tick \d+, [\d.]+ s: base (hold|raise|lower), head (hold|raise|lower)$/);
      expect(await page.locator('#run-2 .readout').nth(4).textContent()).toMatch(/: base –, head 1\.0\d+$/);
    }));

  it('filters and sorts the table of runs', () =>
    onPage(async (page) => {
      const names = (): Promise<string[]> =>
        page.$$eval('.summary tbody tr', (rows) =>
          (rows as HTMLElement[])
            .filter((row) => row.checkVisibility())
            .map((row) => row.querySelector('th')?.firstChild?.textContent ?? ''),
        );
      const all = await names();
      expect(all).toHaveLength(14);
      await page.getByLabel('only differences (6)').check();
      expect(await names()).toEqual(all.slice(0, 6));
      await page.getByRole('button', { name: 'Run', exact: true }).click();
      expect(await names()).toEqual([...all.slice(0, 6)].sort());
      await page.getByRole('button', { name: 'Run', exact: true }).click();
      expect(await names()).toEqual([...all.slice(0, 6)].sort().reverse());
      expect(await page.locator('.summary [aria-sort]').getAttribute('aria-sort')).toBe('descending');
    }));

  it('values show the differences, or all', () =>
    onPage(async (page) => {
      await showRun(page, 'run-2');
      const states = page.locator('#run-2 .states').first();
      await states.locator('summary').click();
      expect(await states.locator('.equal li').first().isVisible()).toBe(false);
      await states.getByLabel('only differences').uncheck();
      expect(await states.locator('.equal li').first().isVisible()).toBe(true);
    }));
});

describe.skipIf(isMissing)('light and dark', () => {
  it.each(SCHEMES)('every text has a contrast of 4.5 : 1 in %s, with everything unfolded', (colorScheme) =>
    onPage(
      async (page) => {
        await unfold(page);
        const [least] = await contrasts(page);
        expect(least?.[0], least?.[1]).toBeGreaterThanOrEqual(4.5);
      },
      { colorScheme },
    ),
  );

  it('follows the system and the choice on the page, and redraws the plots', () =>
    onPage(async (page) => {
      await showRun(page, 'run-2');
      const picture = (): Promise<string> => page.$eval('#run-2 .plot canvas', (canvas) => (canvas as HTMLCanvasElement).toDataURL());
      const [light, lightPlot] = [await ground(page), await picture()];
      await page.emulateMedia({ colorScheme: 'dark' });
      const dark = await ground(page);
      expect(dark).not.toBe(light);
      await expect.poll(picture).not.toBe(lightPlot);
      await page.getByLabel('light', { exact: true }).check();
      expect(await ground(page)).toBe(light);
      await expect.poll(picture).toBe(lightPlot);
      await page.emulateMedia({ colorScheme: 'light' });
      await page.getByLabel('dark', { exact: true }).check();
      expect(await ground(page)).toBe(dark);
      await page.getByLabel('system', { exact: true }).check();
      expect(await ground(page)).toBe(light);
    }));
});

describe.skipIf(isMissing)('accessibility', () => {
  it.each(SIZES)('fits a window of $width × $height', (viewport) =>
    onPage(
      async (page) => {
        await unfold(page);
        await showRun(page, 'run-2');
        expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(viewport.width);
        await page.screenshot({ path: join(folder, `${viewport.width}.png`) });
      },
      { viewport },
    ),
  );

  it('plots, tables, headings and buttons are accessible to a screen reader', () =>
    onPage(async (page) => {
      await showRun(page, 'run-2');
      const plots = await page.$$eval('#run-2 .plot, #run-2 .lanes', (all) =>
        all.map((one) => [one.getAttribute('role'), one.getAttribute('aria-label')]),
      );
      expect(plots).toHaveLength(9);
      for (const [role, label] of plots) {
        expect(role).toBe('img');
        expect(label).toMatch(/base .+head /);
      }
      const tables = await page.$$eval('table', (all) => all.map((one) => one.caption?.textContent ?? ''));
      expect(tables.every((caption) => caption !== '')).toBe(true);
      expect(await page.$$eval('th:not([scope])', (all) => all.length)).toBe(0);
      const levels = await page.$$eval('h1, h2, h3, h4, h5, h6', (all) => all.map(({ tagName }) => Number(tagName.slice(1))));
      expect(levels.filter((level) => level === 1)).toHaveLength(1);
      for (const [index, level] of levels.entries()) expect(level - (levels[index - 1] ?? 0)).toBeLessThanOrEqual(1);
      const names = await page.$$eval('button', (all) => all.map((one) => one.getAttribute('aria-label') ?? one.textContent ?? ''));
      expect(names.length).toBeGreaterThan(20);
      expect(names.every((name) => /\w/.test(name))).toBe(true);
      expect(await page.$$eval('input', (all) => (all as HTMLInputElement[]).filter(({ labels }) => labels?.length !== 1).length)).toBe(0);
      for (const landmark of ['header', 'nav[aria-label]', 'main', 'footer']) expect(await page.locator(landmark).count()).toBe(1);
      expect(await page.getAttribute('html', 'lang')).toBe('en');
    }));

  it('the tab key reaches everything in page order, with a visible focus', () =>
    onPage(async (page) => {
      const steps: string[] = [];
      const isVisible: boolean[] = [];
      for (let step = 0; step < 60; step++) {
        await page.keyboard.press('Tab');
        const { what, outline } = await page.evaluate(() => {
          const on = document.activeElement as HTMLInputElement | null;
          return {
            what: `${on?.className || on?.name || on?.dataset.act || on?.getAttribute('href') || on?.tagName}`,
            outline: on === null ? '' : getComputedStyle(on).outlineStyle,
          };
        });
        steps.push(what);
        isVisible.push(outline !== 'none');
      }
      const expected = [
        'skip',
        'theme',
        '#run-1',
        '#runs',
        '#provenance',
        'SUMMARY',
        'which',
        'sort js',
        '#run-6',
        'whole',
        'around',
        'in',
        'out',
        'left',
        'right',
        'strip',
      ];
      const places = expected.map((what) => steps.indexOf(what));
      expect(places, steps.join(' ')).not.toContain(-1);
      // The link to the worst run and the runs of a cause come first, then the table, then each run's own.
      expect(places).toEqual([...places].sort((a, b) => a - b));
      expect(isVisible).not.toContain(false);
    }));

  it('the browser parses the elements as written', () =>
    onPage(
      async (page) => {
        const source = reviewPage(exampleReview()).replace(/(<(script|style)[^>]*>)[\s\S]*?(<\/\2>)/g, '$1$3');
        const written = new Map<string, number>();
        for (const [, name = ''] of source.matchAll(/<([a-z][a-z0-9]*)[\s>]/g)) written.set(name, (written.get(name) ?? 0) + 1);
        const found = await page.evaluate((names) => names.map((name) => document.querySelectorAll(name).length), [...written.keys()]);
        expect(found).toEqual([...written.values()]);
        expect(await page.locator('tr > :not(td, th)').count()).toBe(0);
      },
      { javaScriptEnabled: false },
    ));

  it('shows all tables and texts without JavaScript, and no controls', () =>
    onPage(
      async (page) => {
        expect(await page.locator('.js').filter({ visible: true }).count()).toBe(0);
        expect(await page.locator('noscript .notice').isVisible()).toBe(true);
        expect(await page.locator('#run-2 .divergence').isVisible()).toBe(true);
        expect(await page.locator('#run-2 .readout').first().textContent()).toMatch(/^base .+; head .+; largest difference .+ at .+ s$/);
        await page.locator('#run-2 .states summary').first().click();
        expect(await page.locator('#run-2 .state').first().isVisible()).toBe(true);
      },
      { javaScriptEnabled: false },
    ));
});

describe.skipIf(isMissing)('on paper', () => {
  it('unfolds everything in light colours, without controls; restores the page afterwards', () =>
    onPage(
      async (page) => {
        const dark = await ground(page);
        await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
        await expect.poll(() => page.$$eval('details:not([open])', (all) => all.length)).toBe(0);
        expect(await ground(page)).not.toBe(dark);
        expect(await page.locator('button').filter({ visible: true }).count()).toBe(0);
        for (const run of ['run-1', 'run-6']) for (const count of await inked(page, run)) expect(count).toBeGreaterThan(1000);
        await page.emulateMedia({ media: 'screen', colorScheme: 'dark' });
        await expect.poll(() => page.$$eval('details[open]', (all) => all.length)).toBe(0);
        expect(await ground(page)).toBe(dark);
      },
      { colorScheme: 'dark' },
    ));

  it('prints as pages', () =>
    onPage(async (page) => {
      const pdf = await page.pdf({ preferCSSPageSize: true, format: 'A4' });
      expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
      // A page break before each of the six runs.
      expect(pdf.toString('latin1').match(/\/Type \/Page\b/g)?.length ?? 0).toBeGreaterThanOrEqual(7);
    }));
});
