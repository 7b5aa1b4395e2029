import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { TOOL_ROOT } from '../common/project.js';

/** C sources of the firmware: the library, what makes a firmware of it, and a folder for each board. */
export const FIRMWARE = join(TOOL_ROOT, 'host', 'chip', 'firmware');

export type ChipName = 'native' | 'cortex-m4f' | 'cortex-m0plus' | 'rv32imafc';

/** A kind of processor that the controller is translated for, with the example board that it is run on. */
export interface Chip {
  readonly name: ChipName;
  /** Prefix of compiler and binary tools. */
  readonly tools: string;
  /** For the compiler: which instructions there are, and how floating point is passed. */
  readonly processor: readonly string[];
  /** Sources of the board beside the firmware's own, below `FIRMWARE`. */
  readonly board: readonly string[];
  /** Besides those for the linker's map. */
  readonly linking: readonly string[];
  /** The emulator and its machine; none for this computer itself. */
  readonly emulator: readonly string[] | undefined;
  /** Debian packages that hold all of this. */
  readonly packages: readonly string[];
}

const CORTEX = ['boards/common.c', 'boards/cortex-m.c', 'boards/semihosting.c'];

export const CHIPS: readonly Chip[] = [
  {
    name: 'native',
    tools: '',
    processor: [],
    board: ['boards/native/board.c'],
    linking: [],
    emulator: undefined,
    packages: ['wabt', 'gcc', 'libc6-dev'],
  },
  {
    name: 'cortex-m4f',
    tools: 'arm-none-eabi-',
    processor: ['-mcpu=cortex-m4', '-mthumb', '-mfpu=fpv4-sp-d16', '-mfloat-abi=hard'],
    board: [...CORTEX, 'boards/cortex-m4f/board.c'],
    linking: ['--specs=nano.specs'],
    emulator: ['qemu-system-arm', '-M', 'mps2-an386'],
    packages: ['wabt', 'gcc-arm-none-eabi', 'libnewlib-arm-none-eabi', 'qemu-system-arm'],
  },
  {
    name: 'cortex-m0plus',
    tools: 'arm-none-eabi-',
    processor: ['-mcpu=cortex-m0plus', '-mthumb', '-mfloat-abi=soft'],
    board: [...CORTEX, 'boards/cortex-m0plus/board.c'],
    linking: ['--specs=nano.specs'],
    emulator: ['qemu-system-arm', '-M', 'microbit', '-global', 'nrf51-soc.sram-size=65536'],
    packages: ['wabt', 'gcc-arm-none-eabi', 'libnewlib-arm-none-eabi', 'qemu-system-arm'],
  },
  {
    name: 'rv32imafc',
    tools: 'riscv64-unknown-elf-',
    processor: ['-march=rv32imafc', '-misa-spec=2.2', '-mabi=ilp32f', '-msmall-data-limit=0', '-fno-shrink-wrap', '--specs=picolibc.specs'],
    board: ['boards/common.c', 'boards/semihosting.c', 'boards/rv32imafc/board.c'],
    linking: ['-Wl,--no-warn-rwx-segments'],
    emulator: ['qemu-system-riscv32', '-M', 'virt', '-bios', 'none'],
    packages: ['wabt', 'gcc-riscv64-unknown-elf', 'picolibc-riscv64-unknown-elf', 'qemu-system-misc'],
  },
];

export const CHIP_NAMES: readonly ChipName[] = CHIPS.map(({ name }) => name);

/** @throws RangeError for a name that is none */
export function chipOf(name: string): Chip {
  const chip = CHIPS.find((one) => one.name === name);
  if (chip === undefined) throw new RangeError(`${name} is no chip: ${CHIP_NAMES.join(', ')}`);
  return chip;
}

const isThere = (program: string): boolean => spawnSync(program, ['--version'], { stdio: 'ignore' }).error === undefined;

/** Programs that a chip needs and that are not installed here. */
export function missingTools(chip: Chip): string[] {
  const programs = ['wasm2c', `${chip.tools}gcc`, ...(chip.emulator === undefined ? [] : [chip.emulator[0] ?? ''])];
  return programs.filter((program) => !isThere(program));
}

/** The one command that installs what chips need. */
export const installCommand = (chips: readonly Chip[]): string =>
  `apt-get install ${[...new Set(chips.flatMap(({ packages }) => packages))].join(' ')}`;
