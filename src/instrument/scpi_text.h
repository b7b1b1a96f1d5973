/* SCPI text: what instruments answer, by IEEE 488.2 and SCPI-99 (both from memory). */
#ifndef RUNDOWN_INSTRUMENT_SCPI_TEXT_H
#define RUNDOWN_INSTRUMENT_SCPI_TEXT_H

#include "base/text.h"

enum { SCPI_FIELDS = 64 };

/* The fields of an answer, at commas and at the semicolons between the answers of one message, quotes respected;
 * trimmed. Returns how many, at most SCPI_FIELDS. */
int scpi_fields(struct span answer, struct span ret_fields[static SCPI_FIELDS]);

/* An entry of the error queue, `-113,"Undefined header"`; 0 is no error. False when it is none. */
bool scpi_error_read(struct span answer, int *ret_number);

#endif
