/** What a cell is sorted by: the number it carries, or its text. */
const sortKey = (row: HTMLTableRowElement, column: number, kind: string): number | string => {
  const cell = row.cells[column];
  return kind === 'number' ? Number(cell?.dataset.v ?? 0) : (cell?.textContent ?? '');
};

/** Sorts the rows of a table by a column; once more turns the order round. */
function sortBy(head: HTMLTableCellElement): void {
  const body = head.closest('table')?.tBodies[0];
  if (body === undefined) return;
  const isDown = head.getAttribute('aria-sort') === 'ascending';
  for (const other of head.parentElement?.querySelectorAll('[aria-sort]') ?? []) other.removeAttribute('aria-sort');
  head.setAttribute('aria-sort', isDown ? 'descending' : 'ascending');
  const kind = head.dataset.sort ?? 'text';
  const rows = [...body.rows].map((row) => ({ row, key: sortKey(row, head.cellIndex, kind) }));
  rows.sort((a, b) =>
    typeof a.key === 'number' && typeof b.key === 'number' ? a.key - b.key : String(a.key).localeCompare(String(b.key)),
  );
  if (isDown) rows.reverse();
  body.append(...rows.map(({ row }) => row));
}

/** Makes tables sort and filter. */
export function bringTablesToLife(): void {
  for (const head of document.querySelectorAll<HTMLTableCellElement>('th[data-sort]')) {
    head.querySelector('button')?.addEventListener('click', () => sortBy(head));
  }
  for (const input of document.querySelectorAll<HTMLInputElement>('input[name=which]')) {
    input.addEventListener('change', () => document.querySelector('.summary')?.classList.toggle('only', input.value === 'differs'));
  }
}

/** Tables that are wider or higher than their place can be reached and moved with the keyboard. */
export function letWideTablesScroll(): void {
  for (const box of document.querySelectorAll<HTMLElement>('.wide')) {
    const isWide = box.scrollWidth > box.clientWidth + 1 || box.scrollHeight > box.clientHeight + 1;
    if (!isWide) {
      for (const name of ['tabindex', 'role', 'aria-label']) box.removeAttribute(name);
      continue;
    }
    box.tabIndex = 0;
    box.setAttribute('role', 'group');
    box.setAttribute('aria-label', box.querySelector('caption')?.textContent ?? '');
  }
}
