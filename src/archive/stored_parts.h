/* What the two ways of stored.h share. */
#ifndef RUNDOWN_ARCHIVE_STORED_PARTS_H
#define RUNDOWN_ARCHIVE_STORED_PARTS_H

#include "archive/stored.h"

/* A log's one stream, its columns that are no channels, and the run's texts. */
extern const char stored_log_stream[], stored_mode_column[], stored_printed_column[];
extern const char stored_log_topic[], stored_readings_topic[];

/* The file's name without its folders, where the run has none yet. */
void stored_take_name(const char *path, struct book_run *run);

/* A log's run comes back: series, words, marks. `log` has its path and is otherwise empty; log_free it on failure
 * too. */
enum status stored_read_log(struct book *book, const struct book_run *run, struct span words, struct log *log,
                            struct message *message);
/* A recorded run's. */
enum status stored_read_recorded(struct book *book, const struct book_run *run, struct stored *stored,
                                 struct message *message);

#endif
