/* Records: every log, file of readings or run of a book that is assessed, read and examined. */
#ifndef RUNDOWN_CLAIMS_RECORDS_H
#define RUNDOWN_CLAIMS_RECORDS_H

#include "claims/papers.h"

/* Fills assessment->records; its label must be there. On failure those read so far are left to assessment_free. */
enum status records_take(const struct assess_request *request, const struct paper *papers,
                         struct assessment *assessment, struct message *message);

#endif
