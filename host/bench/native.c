/* Runs a module translated by wasm2c over inputs from a file: ./native inputs bytesPerTick at ticks memoryFile.
 * Memory is loaded from the file, so that both runs start from the same configured state.
 * Prints the seconds that the loop took, and writes the memory back, so that both results can be compared byte for byte. */
#define _POSIX_C_SOURCE 199309L
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "module.h"

static void fail(const char* what) {
  perror(what);
  exit(3);
}

static char* read_file(const char* name, size_t* size) {
  FILE* file = fopen(name, "rb");
  if (!file || fseek(file, 0, SEEK_END)) fail(name);
  *size = (size_t)ftell(file);
  rewind(file);
  char* bytes = malloc(*size);
  if (!bytes || fread(bytes, 1, *size, file) != *size) fail(name);
  fclose(file);
  return bytes;
}

static double now(void) {
  struct timespec time;
  clock_gettime(CLOCK_MONOTONIC, &time);
  return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

int main(int count, char** words) {
  if (count != 6) return 2;
  size_t size, memory_size;
  char* inputs = read_file(words[1], &size);
  const size_t stride = strtoul(words[2], 0, 10);
  const size_t at = strtoul(words[3], 0, 10);
  const size_t ticks = strtoul(words[4], 0, 10);
  char* memory = read_file(words[5], &memory_size);

  static Z_module_instance_t instance;
  wasm_rt_init();
  Z_module_init_module();
  Z_module_instantiate(&instance);
  wasm_rt_memory_t* linear = Z_moduleZ_memory(&instance);
  memcpy(linear->data, memory, memory_size);

  const double start = now();
  for (size_t tick = 0, from = 0; tick < ticks; tick++, from += stride) {
    if (from == size) from = 0;
    memcpy(linear->data + at, inputs + from, stride);
    Z_moduleZ_tick(&instance);
  }
  printf("%.9f\n", now() - start);

  FILE* file = fopen(words[5], "wb");
  if (!file || fwrite(linear->data, 1, memory_size, file) != memory_size || fclose(file)) fail(words[5]);
  return 0;
}
