import type { PackedSight } from '../pack.js';

/** Writes values that are the same on both sides where the page has no room for them as text. */
export function writeAlike(section: HTMLElement, { alike }: PackedSight): void {
  for (const [index, host] of [...section.querySelectorAll('.packed-alike')].entries()) {
    for (const { kind, values } of alike[index] ?? []) {
      const title = document.createElement('p');
      title.textContent = `${kind}, the same on both sides`;
      const list = document.createElement('ul');
      list.append(
        ...values.map((value) => {
          const item = document.createElement('li');
          item.textContent = value;
          return item;
        }),
      );
      host.append(title, list);
    }
  }
}
