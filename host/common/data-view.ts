/** Returns a view of the same bytes. */
export const dataViewOf = ({ buffer, byteOffset, byteLength }: Uint8Array): DataView => new DataView(buffer, byteOffset, byteLength);
