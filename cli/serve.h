/* SPDX-License-Identifier: GPL-3.0-or-later */
/* serve.h -- the word `serve`: open the server and stay until told to end. */
#ifndef LH_SERVE_H
#define LH_SERVE_H

#include "fault.h"

/* argv[0] is the word itself.  Prints where the page is to be opened; ends
** by SIGINT or SIGTERM after what is under way is finished. */
lh_status lh_serve(int argc, char **argv, lh_fault *fault);

#endif
