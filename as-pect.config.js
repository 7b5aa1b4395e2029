/** Tests of the controller's functions, run inside WebAssembly: `npx asp --verbose --no-logo`. */
export default {
  entries: ['tests/assembly/**/*.spec.ts'],
  include: [],
  disclude: [/node_modules/],
  instantiate: (memory, createImports, instantiate, binary) => instantiate(binary, createImports({ env: { memory } })),
  outputBinary: false,
};
