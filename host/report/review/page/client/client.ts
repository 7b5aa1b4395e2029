import { RunPlots } from './plots.js';
import { enableSortAndFilter, makeWideTablesFocusable } from './tables.js';
import { unpackViews } from './unpack.js';

/** Plots are drawn when they come this close to the viewport. */
const NEAR = '600px';
/** Width of plots on paper, px: fits between the margins of A4 and Letter. */
const PAPER_PX = 680;

/** Longest wait for an idle browser, ms. */
const IDLE_MS = 500;

/** Resolves when the browser has nothing more urgent to do, such as the first view of the page. */
const whenIdle = (): Promise<unknown> =>
  new Promise((resolve) =>
    'requestIdleCallback' in globalThis ? requestIdleCallback(resolve, { timeout: IDLE_MS }) : setTimeout(resolve),
  );

/** The plots of a run; undefined if there are none, or the browser cannot unpack them. */
async function openPlots(section: HTMLElement): Promise<RunPlots | undefined> {
  const strip = section.querySelector<HTMLElement>('.strip');
  const packed = section.querySelector('.packed')?.textContent;
  if (strip === null || packed == null) return undefined;
  if (!('DecompressionStream' in globalThis)) {
    strip.textContent = 'This browser cannot unpack the plots. All tables are complete.';
    return undefined;
  }
  return new RunPlots(section, strip, await unpackViews(packed));
}

/** Draws plots when they become visible, and again when their width changes. Returns what follows those of a strip. */
function drawWhenVisible(plots: ReadonlyMap<Element, RunPlots>): (strip: Element) => void {
  const isOnPaper = (): boolean => document.documentElement.dataset.paper === 'yes';
  const resized = new ResizeObserver((entries) => {
    if (!isOnPaper()) for (const { target } of entries) plots.get(target)?.draw();
  });
  const visible = new IntersectionObserver(
    (entries, observer) => {
      for (const { target, isIntersecting } of entries) {
        if (!isIntersecting) continue;
        observer.unobserve(target);
        plots.get(target)?.writeEqual();
        plots.get(target)?.draw();
        makeWideTablesFocusable();
        resized.observe(target);
      }
    },
    { rootMargin: NEAR },
  );
  return (strip) => visible.observe(strip);
}

/** Adds to each stroke of a run's list a button that shows it in the plots. */
function linkStrokes(section: HTMLElement, plots: RunPlots): void {
  for (const row of section.querySelectorAll<HTMLTableRowElement>('.strokes tbody tr')) {
    const [base, head, change] = [row.cells[3], row.cells[4], row.cells[5]];
    const tick = Number.parseInt(base?.textContent ?? '', 10);
    const at = Number.isNaN(tick) ? Number.parseInt(head?.textContent ?? '', 10) : tick;
    if (change === undefined || Number.isNaN(at)) continue;
    const button = document.createElement('button');
    button.type = 'button';
    button.className = 'jump js';
    button.textContent = 'show';
    button.addEventListener('click', () => plots.jump(at));
    change.append(' ', button);
  }
}

/** Light or dark, as chosen on the page or by the system. */
function followTheme(repaint: () => void): void {
  for (const input of document.querySelectorAll<HTMLInputElement>('input[name=theme]')) {
    input.addEventListener('change', () => {
      if (input.value === 'system') delete document.documentElement.dataset.theme;
      else document.documentElement.dataset.theme = input.value;
      repaint();
    });
  }
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', repaint);
}

/** Unfolds everything and uses light colours for printing, and restores the page afterwards. */
function handlePrinting(plots: ReadonlyMap<Element, RunPlots>): void {
  const page = document.documentElement;
  const before = { theme: undefined as string | undefined, closed: [] as HTMLDetailsElement[] };
  const enter = (): void => {
    if (page.dataset.paper === 'yes') return;
    before.theme = page.dataset.theme;
    before.closed = [...document.querySelectorAll<HTMLDetailsElement>('details:not([open])')];
    page.dataset.paper = 'yes';
    page.dataset.theme = 'light';
    for (const one of before.closed) one.open = true;
    for (const one of plots.values()) {
      one.enterPaper(PAPER_PX);
      one.repaint();
    }
  };
  const leave = (): void => {
    if (page.dataset.paper !== 'yes') return;
    delete page.dataset.paper;
    if (before.theme === undefined) delete page.dataset.theme;
    else page.dataset.theme = before.theme;
    for (const one of before.closed) one.open = false;
    for (const one of plots.values()) {
      one.leavePaper();
      one.repaint();
    }
  };
  addEventListener('beforeprint', enter);
  addEventListener('afterprint', leave);
  matchMedia('print').addEventListener('change', ({ matches }) => (matches ? enter() : leave()));
}

/** Plots of all runs by the element that holds them, as they are unpacked. */
const plots = new Map<Element, RunPlots>();
enableSortAndFilter();
followTheme(() => {
  for (const one of plots.values()) one.repaint();
});
handlePrinting(plots);
const follow = drawWhenVisible(plots);
await whenIdle();
makeWideTablesFocusable();
addEventListener('resize', makeWideTablesFocusable);
document.addEventListener('toggle', makeWideTablesFocusable, true);
for (const section of document.querySelectorAll<HTMLElement>('.run')) {
  await whenIdle();
  const [strip, opened] = [section.querySelector('.strip'), await openPlots(section)];
  if (strip === null || opened === undefined) continue;
  plots.set(strip, opened);
  linkStrokes(section, opened);
  follow(strip);
}
document.documentElement.dataset.ready = 'yes';
