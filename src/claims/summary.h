/* Summary: the verdict in a few plain sentences, composed from the decisions and as cautious as they are. */
#ifndef RUNDOWN_CLAIMS_SUMMARY_H
#define RUNDOWN_CLAIMS_SUMMARY_H

#include "claims/assessment.h"

void summary_write(const struct assessment *assessment, char *buffer, size_t size);

#endif
