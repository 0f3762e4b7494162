/* SPDX-License-Identifier: GPL-3.0-or-later */
/* machine.h -- what the processor can do; asked here, for core asks nothing. */
#ifndef LH_MACHINE_H
#define LH_MACHINE_H

#include "fast_isa.h"

/* The instructions that core's fast kernels may use on this machine: always
** the same here, and so the bytes of a picture. */
lh_isa lh_machine_isa(void);

#endif
