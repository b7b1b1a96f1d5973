/* Paper put: a text becomes a version of a paper once it can be read without a fault, as `rundown sample correct`
 * has it: a rig and loads belong to the workshop, the others to the sample. */
#ifndef RUNDOWN_WEB_PAPER_PUT_H
#define RUNDOWN_WEB_PAPER_PUT_H

#include "base/notices.h"
#include "book/sample.h"

/* `name` NULL: that of its kind. Notices: contradictions of a label with itself, and what else to know of it. */
enum status paper_put(struct book *book, int64_t sample, enum document_kind kind, const char *name, struct span text,
                      int64_t utc_ns, struct notices *notices, int64_t *ret_id, struct message *message);

#endif
