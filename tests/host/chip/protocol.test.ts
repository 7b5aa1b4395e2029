import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { FIRMWARE } from '../../../host/chip/chips.js';
import {
  ANSWER,
  ARITHMETIC_FINDINGS,
  COUNTERS,
  ENTRIES,
  NOTICES,
  protocolHeader,
  REFUSED,
  REQUESTS,
  TRAPS,
} from '../../../host/chip/protocol.js';

/** Enumerators of the library's header with a prefix: value → comment. */
function enumerators(prefix: string): Map<number, string> {
  const header = readFileSync(join(FIRMWARE, 'latchbench-chip.h'), 'utf8');
  const found = header.matchAll(new RegExp(`^ {2}${prefix}\\w+ = (\\d+),(?: +/\\* (.*) \\*/)?$`, 'gm'));
  return new Map([...found].map(([, value, comment = '']) => [Number(value), comment]));
}

describe('the numbers of the link', () => {
  it('go into a C header', () => {
    const header = protocolHeader();
    expect(header).toContain('LB_LINK_TICKS = 3, /* inputs of one tick or more -> outputs of the last');
    expect(header).toContain('LB_LINK_END_RUN = 8, /* -> nothing; ends lockstep or free run */');
    expect(header).toContain('LB_LINK_STARTED = 225, /* u8 cause, u32 reason */');
    expect(header).toContain("LB_ENTRY_COILS = 3, /* u32 timer tick, u8 row, u8 supply valve's order, u8 return valve's order */");
    expect(header).toContain('LB_COUNT_LONGEST_STEP_COUNTS = 11,');
    expect(header).toContain('LB_LINK_COUNTERS = 13,');
    expect(header).toContain('LB_HELLO_BUSY = 2,');
    expect(header).toContain('#define LB_NO_INPUTS 0xffffffffu');
    expect(header).toContain('LB_STATE_LOCKSTEP = 2,');
    expect(header).toContain('LB_END_LINK_LOST = 2,');
    expect(header).toContain('LB_MODE_FREE_RUN = 2,');
    expect(header).toContain('LB_REFUSED_TICK_RATE = -4, /* its timer has another tick rate */');
    expect(header).toContain('LB_INJECT_POWER_CUT = 5,');
  });

  it('are distinct for requests, answers and notices', () => {
    const requests = Object.values(REQUESTS).map(({ kind }) => kind);
    const kinds = [...requests, ...requests.map((kind) => kind | ANSWER), ...Object.values(NOTICES).map(({ kind }) => kind), REFUSED];
    expect(new Set(kinds).size).toBe(kinds.length);
    expect(requests.filter((kind) => (kind & ANSWER) !== 0)).toEqual([]);
    const entries = Object.values(ENTRIES).map(({ kind }) => kind);
    expect(new Set(entries).size).toBe(entries.length);
    expect(new Set(COUNTERS).size).toBe(COUNTERS.length);
  });
});

describe("the library's header", () => {
  it('numbers traps and findings about the arithmetic as the host names them', () => {
    const [traps, findings] = [enumerators('LB_TRAP_'), enumerators('LB_ARITHMETIC_')];
    expect([...traps.keys()]).toEqual(TRAPS.slice(1).map((_, index) => index + 1));
    expect([...findings.keys()]).toEqual(ARITHMETIC_FINDINGS.slice(1).map((_, index) => index + 1));
    for (const [number, comment] of findings) expect(ARITHMETIC_FINDINGS[number]?.startsWith(comment), comment).toBe(true);
  });
});
