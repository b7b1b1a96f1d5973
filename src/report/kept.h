/* Kept: findings that stay in the book beside the run they are of, with the version of the method that made them. */
#ifndef RUNDOWN_REPORT_KEPT_H
#define RUNDOWN_REPORT_KEPT_H

#include "claims/assessment.h"

/* For each run of a book that was assessed; *ret_kept counts them. */
enum status kept_put(const struct assessment *assessment, int64_t utc_ns, size_t *ret_kept, struct message *message);

/* What `rundown assess BOOK:RUN` gives, kept: at the end of a recording. `plan`: a path, NULL none. The caller frees
 * the assessment. */
enum status kept_assess(const char *book, int64_t run, const char *plan, int64_t utc_ns,
                        struct assessment *ret_assessment, struct message *message);

#endif
