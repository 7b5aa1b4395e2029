import type { PackedViews } from '../pack.js';

/** Writes the values that are equal on both sides, if the page does not contain them as text. */
export function writeEqualValues(section: HTMLElement, { equalValues }: PackedViews): void {
  for (const [index, host] of [...section.querySelectorAll('.packed-equal')].entries()) {
    for (const { kind, values } of equalValues[index] ?? []) {
      const title = document.createElement('p');
      title.textContent = `${kind}, same on both sides`;
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
