import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { ROWS_MAX } from '../../shared/limits.js';
import { TOOL_ROOT } from '../common/project.js';

/** C sources of the firmware, with a folder for each board. */
export const FIRMWARE = join(TOOL_ROOT, 'host', 'chip', 'firmware');

/** What carries the bytes of the link: a UART, or files of the emulator, which are a hundred times as fast. */
export type Channel = 'uart' | 'files';

export type ChipName = 'native' | 'cortex-m4f' | 'cortex-m0plus' | 'rv32imafc';

/** Where execution starts, what may interrupt it, and what the processor saves on the stack: the facts behind a stack bound. */
export interface StackEntries {
  readonly instructionSet: 'arm' | 'riscv';
  readonly start: string;
  /** Interrupt handlers of one priority: only one of them runs at a time. */
  readonly handlers: readonly string[];
  /** Handlers that may interrupt the others too. */
  readonly nested: readonly string[];
  /** Bytes that the processor itself pushes for an interrupt. */
  readonly savedBytes: number;
}

/** A processor that the controller is compiled for, with the example board that runs it. */
export interface Chip {
  readonly name: ChipName;
  /** Prefix of the compiler and binary tools. */
  readonly tools: string;
  /** Compiler flags: instruction set and floating-point calling convention. */
  readonly processor: readonly string[];
  /** Compiler flags of its board: sizes of buffers other than the defaults, which are for small chips. */
  readonly buffers: Readonly<Record<Channel, readonly string[]>>;
  /** Sources of the board, below `FIRMWARE`. */
  readonly board: readonly string[];
  /** Linker flags in addition to the linker scripts. */
  readonly linking: readonly string[];
  /** The emulator and its machine; undefined for a program of this computer. */
  readonly emulator: readonly string[] | undefined;
  /** Undefined for a program of this computer, whose stack the system provides. */
  readonly stack: StackEntries | undefined;
  /** Debian packages that provide the tools. */
  readonly packages: readonly string[];
}

const CORTEX = ['boards/common.c', 'boards/cortex-m.c', 'boards/semihosting.c'];
/** What a program of this computer can afford. */
const PROGRAM_BUFFERS = ['-DLB_WINDOW=8', '-DLB_INPUT_SLOTS=64', '-DLB_JOURNAL_BYTES=262144', '-DLB_JOURNAL_FRAME=1200', '-DLB_WATCHES=16'];
/** Machines with much RAM; over files, where each request costs the emulator a pause. */
const LONG_REQUESTS = ['-DLB_REQUEST_MAX=8192', '-DLB_WINDOW=4'];
const ARM_PACKAGES = ['wabt', 'gcc-arm-none-eabi', 'libnewlib-arm-none-eabi', 'qemu-system-arm'];

export const CHIPS: readonly Chip[] = [
  {
    name: 'native',
    tools: '',
    processor: [],
    buffers: { uart: PROGRAM_BUFFERS, files: PROGRAM_BUFFERS },
    board: ['boards/native/board.c'],
    linking: [],
    emulator: undefined,
    stack: undefined,
    packages: ['wabt', 'gcc', 'libc6-dev'],
  },
  {
    name: 'cortex-m4f',
    tools: 'arm-none-eabi-',
    buffers: { uart: [], files: LONG_REQUESTS },
    processor: ['-mcpu=cortex-m4', '-mthumb', '-mfpu=fpv4-sp-d16', '-mfloat-abi=hard'],
    board: [...CORTEX, 'boards/cortex-m4f/board.c'],
    linking: ['--specs=nano.specs'],
    emulator: ['qemu-system-arm', '-M', 'mps2-an386'],
    // Armv7-M, B1.5.7: 26 words with the floating-point registers, and one for alignment. The watchdog's warning has top priority.
    stack: {
      instructionSet: 'arm',
      start: 'start',
      handlers: ['on_received', 'on_sent', 'on_timer'],
      nested: ['on_warning'],
      savedBytes: 4 * 27,
    },
    packages: ARM_PACKAGES,
  },
  {
    name: 'cortex-m0plus',
    tools: 'arm-none-eabi-',
    buffers: { uart: [], files: [] },
    processor: ['-mcpu=cortex-m0plus', '-mthumb', '-mfloat-abi=soft'],
    board: [...CORTEX, 'boards/cortex-m0plus/board.c'],
    linking: ['--specs=nano.specs'],
    emulator: ['qemu-system-arm', '-M', 'microbit', '-global', 'nrf51-soc.sram-size=65536'],
    // Armv6-M, B1.5.7: 8 words, and one for alignment.
    stack: { instructionSet: 'arm', start: 'start', handlers: ['on_uart', 'on_timer'], nested: [], savedBytes: 4 * 9 },
    packages: ARM_PACKAGES,
  },
  {
    name: 'rv32imafc',
    tools: 'riscv64-unknown-elf-',
    buffers: { uart: [], files: LONG_REQUESTS },
    processor: ['-march=rv32imafc', '-misa-spec=2.2', '-mabi=ilp32f', '-msmall-data-limit=0', '-fno-shrink-wrap', '--specs=picolibc.specs'],
    board: ['boards/common.c', 'boards/semihosting.c', 'boards/rv32imafc/board.c'],
    linking: ['-Wl,--no-warn-rwx-segments'],
    emulator: ['qemu-system-riscv32', '-M', 'virt', '-bios', 'none'],
    // RISC-V pushes nothing; the handler saves the registers.
    stack: { instructionSet: 'riscv', start: 'lb_start', handlers: ['on_interrupt'], nested: [], savedBytes: 0 },
    packages: ['wabt', 'gcc-riscv64-unknown-elf', 'picolibc-riscv64-unknown-elf', 'qemu-system-misc'],
  },
];

export const CHIP_NAMES: readonly ChipName[] = CHIPS.map(({ name }) => name);
/** Chips that run on an emulator, as opposed to this computer. */
export const EMULATED_CHIPS: readonly Chip[] = CHIPS.filter(({ emulator }) => emulator !== undefined);

/** Row counts of the builds in the table of chip budgets. */
export const BUDGET_ROWS = [1, 24, ROWS_MAX] as const;

/** @throws RangeError for an unknown name */
export function chipOf(name: string): Chip {
  const chip = CHIPS.find((one) => one.name === name);
  if (chip === undefined) throw new RangeError(`unknown chip ${name}; chips are ${CHIP_NAMES.join(', ')}`);
  return chip;
}

const isInstalled = (program: string): boolean => spawnSync(program, ['--version'], { stdio: 'ignore' }).error === undefined;

/** Programs that a chip needs: translator, compiler, emulator. */
export const toolsOf = ({ tools, emulator }: Chip): string[] => ['wasm2c', `${tools}gcc`, ...(emulator?.slice(0, 1) ?? [])];

/** Programs that a chip needs and that are not installed. */
export const missingTools = (chip: Chip): string[] => toolsOf(chip).filter((program) => !isInstalled(program));

/** The one command that installs what these chips need. */
export const installCommand = (chips: readonly Chip[]): string =>
  `apt-get install ${[...new Set(chips.flatMap(({ packages }) => packages))].join(' ')}`;
