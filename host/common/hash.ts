import { createHash } from 'node:crypto';

/** SHA-256 as hexadecimal digits. */
export const sha256 = (data: string | Uint8Array): string => createHash('sha256').update(data).digest('hex');

/** The first 16 digits of a SHA-256: enough to tell builds and contracts apart. */
export const shortHash = (data: string | Uint8Array): string => sha256(data).slice(0, 16);
