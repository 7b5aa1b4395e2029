#include "inputs.h"

#include "counters.h"

static struct {
  uint32_t period;
  uint32_t stamp; /* of the inputs in the controller's records */
  uint32_t steps[LB_INPUT_SLOTS];
  uint32_t counts[LB_INPUT_SLOTS]; /* bytes; 0: empty */
  uint8_t slots[LB_INPUT_SLOTS][sizeof(LbBankInput) + sizeof(LbRowInput) * LB_ROWS_MAX];
} inputs;

uint32_t lb_inputs_stamp(void) { return inputs.stamp; }
uint32_t lb_inputs_period(void) { return inputs.period; }

void lb_inputs_start(uint32_t period) {
  inputs.period = period;
  inputs.stamp = LB_NO_INPUTS;
  for (uint32_t slot = 0; slot < LB_INPUT_SLOTS; slot++) inputs.counts[slot] = 0;
}

static uint32_t slot_of(uint32_t step) { return step / inputs.period % LB_INPUT_SLOTS; }

void lb_inputs_take(uint32_t step, const uint8_t* bytes, uint32_t count, uint32_t next) {
  const uint32_t newest = next + inputs.period * LB_INPUT_SLOTS;
  if ((int32_t)(step - next) < 0) {
    lb_counters[LB_COUNT_LATE]++;
    if (inputs.stamp != LB_NO_INPUTS && (int32_t)(step - inputs.stamp) <= 0) return;
    __builtin_memcpy(lb_bank_input(), bytes, count);
    inputs.stamp = step;
  } else if ((int32_t)(step - newest) >= 0) {
    lb_counters[LB_COUNT_EARLY]++;
  } else {
    const uint32_t slot = slot_of(step);
    inputs.steps[slot] = step;
    inputs.counts[slot] = count;
    __builtin_memcpy(inputs.slots[slot], bytes, count);
  }
}

void lb_inputs_use(uint32_t step) {
  if (step % inputs.period != 0) return;
  const uint32_t slot = slot_of(step);
  if (inputs.counts[slot] == 0 || inputs.steps[slot] != step) {
    lb_counters[LB_COUNT_HELD]++;
    return;
  }
  __builtin_memcpy(lb_bank_input(), inputs.slots[slot], inputs.counts[slot]);
  inputs.counts[slot] = 0;
  inputs.stamp = step;
}
