// SPDX-License-Identifier: GPL-3.0-or-later
// Stands in where the page is built without the pot or the band: the shell
// then shows the program's own pictures.
export const Pot = null;
export const Band = null;
