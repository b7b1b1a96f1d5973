/* Cells: one line of a log cut at its delimiter, and what a cell can be.
 *
 * Quotes are those of RFC 4180: a quote opens at the start of a cell only, and a doubled quote inside
 * stands for one. The delimiter ' ' means any run of blanks and tabs. A number uses the log's one
 * decimal sign; the other sign, or a mark between thousands, makes the cell no number. */
#ifndef RUNDOWN_INTAKE_CELLS_H
#define RUNDOWN_INTAKE_CELLS_H

#include "quantity/unit.h"

/* Cuts a line into cells, trimmed and without their outer quotes. Returns how many there are; only the
 * first `room` are stored. A quote left open returns 0. */
size_t cells_split(struct span line, char delimiter, struct span *ret_cells, size_t room);

/* A word for "nothing here": empty, dashes, NaN, N/A, overload marks. */
bool cell_is_missing(struct span cell);

enum cell_kind { CELL_MISSING, CELL_NUMBER, CELL_WORDS };

/* Reads a cell. A number may carry its own unit (`12.91 V`): quantity is QUANTITY_NONE when it does not.
 * A number beyond physical sense (1e30: 9.9E37 is SCPI-99's infinity, 9.91E37 its not-a-number, 3.4E+38
 * the largest float) is CELL_MISSING. */
enum cell_kind cell_read(struct span cell, char decimal, double *ret_value, struct unit *ret_unit);

/* Copies a cell's words: doubled quotes made one, line ends made blanks, Latin-1 made UTF-8. */
void cell_copy(struct span cell, char *buffer, size_t size);

#endif
