/* Registers of every Cortex-M (Arm v6-M and v7-M Architecture Reference Manuals, chapter B3). */
#ifndef LB_CORTEX_M_H
#define LB_CORTEX_M_H

#include <stdint.h>

#define LB_REGISTER(at) (*(volatile uint32_t*)(at))
#define SYSTICK_CONTROL LB_REGISTER(0xe000e010u) /* bit 0 enable, bit 2 core clock */
#define SYSTICK_RELOAD LB_REGISTER(0xe000e014u)
#define SYSTICK_VALUE LB_REGISTER(0xe000e018u) /* 24 bits, counts down */
#define NVIC_ENABLE LB_REGISTER(0xe000e100u)
#define SYSTEM_RESET LB_REGISTER(0xe000ed0cu) /* key 0x05fa in the upper half, bit 2 requests a reset */
#define COPROCESSORS LB_REGISTER(0xe000ed88u) /* 0xf << 20 switches the floating-point unit on */

void lb_cortex_start(void);
void lb_cortex_fault(void);

#endif
