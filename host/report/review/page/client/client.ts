import { RunPlots } from './plots.js';
import { writeAlike } from './states.js';
import { bringTablesToLife, letWideTablesScroll } from './tables.js';
import { unpackSight } from './unpack.js';

/** Plots are drawn when they come this near to the window. */
const NEAR = '600px';
/** Width of plots on paper, px: what A4 and Letter have between their margins. */
const PAPER_PX = 680;

async function openPlots(): Promise<ReadonlyMap<Element, RunPlots>> {
  const found = [...document.querySelectorAll<HTMLElement>('.run')].map(async (section) => {
    const strip = section.querySelector<HTMLElement>('.strip');
    const packed = section.querySelector('.packed')?.textContent;
    if (strip === null || packed == null) return [];
    if (!('DecompressionStream' in globalThis)) {
      strip.textContent = 'This browser cannot unpack the plots; all tables are here.';
      return [];
    }
    const seen = await unpackSight(packed);
    writeAlike(section, seen.packed);
    return [[strip, new RunPlots(section, strip, seen)] as const];
  });
  return new Map((await Promise.all(found)).flat());
}

/** Draws plots when they come into sight, and again when their width changes. */
function watchPlots(plots: ReadonlyMap<Element, RunPlots>): void {
  const isOnPaper = (): boolean => document.documentElement.dataset.paper === 'yes';
  const resized = new ResizeObserver((entries) => {
    if (!isOnPaper()) for (const { target } of entries) plots.get(target)?.draw();
  });
  const seen = new IntersectionObserver(
    (entries, observer) => {
      for (const { target, isIntersecting } of entries) {
        if (!isIntersecting) continue;
        observer.unobserve(target);
        plots.get(target)?.draw();
        resized.observe(target);
      }
    },
    { rootMargin: NEAR },
  );
  for (const strip of plots.keys()) seen.observe(strip);
}

/** Light or dark, as chosen here or as the system has it. */
function watchColours(repaint: () => void): void {
  for (const input of document.querySelectorAll<HTMLInputElement>('input[name=theme]')) {
    input.addEventListener('change', () => {
      if (input.value === 'system') delete document.documentElement.dataset.theme;
      else document.documentElement.dataset.theme = input.value;
      repaint();
    });
  }
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', repaint);
}

/** On paper all is unfolded and drawn in light colours; afterwards it is as it was. */
function watchPrinting(plots: ReadonlyMap<Element, RunPlots>): void {
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
      one.draw(PAPER_PX);
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
      one.draw();
      one.repaint();
    }
  };
  addEventListener('beforeprint', enter);
  addEventListener('afterprint', leave);
  matchMedia('print').addEventListener('change', ({ matches }) => (matches ? enter() : leave()));
}

bringTablesToLife();
letWideTablesScroll();
addEventListener('resize', letWideTablesScroll);
document.addEventListener('toggle', letWideTablesScroll, true);
const plots = await openPlots();
watchPlots(plots);
watchColours(() => {
  for (const one of plots.values()) one.repaint();
});
watchPrinting(plots);
document.documentElement.dataset.ready = 'yes';
