/* Output: a whole file written at once. */
#ifndef RUNDOWN_BASE_OUTPUT_H
#define RUNDOWN_BASE_OUTPUT_H

#include "base/status.h"
#include "base/text.h"

/* Writes `content` to `path`, replacing what was there. On failure the message names the file, the
 * cause and the remedy, and no half-written file stays behind. */
enum status output_save(const char *path, const struct text *content, struct message *message);

/* For who writes piece by piece: says that `path` cannot be written, why (an errno value), and the remedy. */
enum status output_fail(const char *path, int error, struct message *message);

#endif
