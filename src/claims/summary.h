/* Summary: the whole verdict in a few plain sentences, composed from the findings and as cautious as they are.
 *
 * What does not go together comes first, then what was delivered, the claims by their verdicts, what the board did, what
 * the opened case shows, and what nobody looked at. */
#ifndef RUNDOWN_CLAIMS_SUMMARY_H
#define RUNDOWN_CLAIMS_SUMMARY_H

#include "claims/assessment.h"

/* Needs the decisions and the contradictions. Where the buffer is too small, whole sentences of the least weight are
 * left out. */
void summary_write(const struct assessment *assessment, char *buffer, size_t size);

#endif
