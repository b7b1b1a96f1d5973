/* Log blocks: the readings of a log as blocks of decimals, packed on all processors and put into the book in
 * order by the caller's thread. */
#ifndef RUNDOWN_ARCHIVE_LOG_BLOCKS_H
#define RUNDOWN_ARCHIVE_LOG_BLOCKS_H

#include "archive/log_times.h"
#include "archive/stored.h"

/* Which columns a log's stream has: the channels in order, then the mode, then times that seconds do not hold. */
struct log_plan {
    const struct log *log;
    struct log_times times;
    int mode, printed; /* columns of the stream, 0 when there is none */
    int columns;       /* with time */
};

enum status log_blocks_put(struct book *book, int64_t stream, const struct log_plan *plan,
                           const struct stored_request *request, struct message *message);

#endif
