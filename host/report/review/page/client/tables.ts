/** Sort key of a cell: the number it carries, or its text. */
const sortKey = (row: HTMLTableRowElement, column: number, kind: string): number | string => {
  const cell = row.cells[column];
  return kind === 'number' ? Number(cell?.dataset.v ?? 0) : (cell?.textContent ?? '');
};

/** Sorts the rows of a table by a column; a second click reverses the order. */
function sortBy(column: HTMLTableCellElement): void {
  const body = column.closest('table')?.tBodies[0];
  if (body === undefined) return;
  const isDown = column.getAttribute('aria-sort') === 'ascending';
  for (const other of column.parentElement?.querySelectorAll('[aria-sort]') ?? []) other.removeAttribute('aria-sort');
  column.setAttribute('aria-sort', isDown ? 'descending' : 'ascending');
  const kind = column.dataset.sort ?? 'text';
  const rows = [...body.rows].map((row) => ({ row, key: sortKey(row, column.cellIndex, kind) }));
  rows.sort((a, b) =>
    typeof a.key === 'number' && typeof b.key === 'number' ? a.key - b.key : String(a.key).localeCompare(String(b.key)),
  );
  if (isDown) rows.reverse();
  body.append(...rows.map(({ row }) => row));
}

export function enableSortAndFilter(): void {
  for (const column of document.querySelectorAll<HTMLTableCellElement>('th[data-sort]')) {
    column.querySelector('button')?.addEventListener('click', () => sortBy(column));
  }
  for (const input of document.querySelectorAll<HTMLInputElement>('input[name=which]')) {
    input.addEventListener('change', () => document.querySelector('.summary')?.classList.toggle('only', input.value === 'differs'));
  }
}

/** Makes tables that are larger than their box focusable, so that the keyboard scrolls them. What the browser has not laid out yet is left. */
export function makeWideTablesFocusable(): void {
  // All are measured before any is changed, so that the page is laid out once.
  const all = [...document.querySelectorAll<HTMLElement>('.wide')];
  const boxes = all
    .filter((box) => box.checkVisibility({ contentVisibilityAuto: true }))
    .map((box) => ({
      box,
      isWide: box.scrollWidth > box.clientWidth + 1 || box.scrollHeight > box.clientHeight + 1,
    }));
  for (const { box, isWide } of boxes) {
    if (isWide === (box.tabIndex === 0)) continue;
    if (!isWide) {
      for (const name of ['tabindex', 'role', 'aria-label']) box.removeAttribute(name);
      continue;
    }
    box.tabIndex = 0;
    box.setAttribute('role', 'group');
    box.setAttribute('aria-label', box.querySelector('caption')?.textContent ?? '');
  }
}
