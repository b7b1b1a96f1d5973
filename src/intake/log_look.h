/* Look: how a log would be read, from its first stretch alone, for somebody who is to say whether its columns are
 * taken for what they are. Takes the same time however long the log is.
 *
 * Where the reader would refuse the log, the look holds the refusal and the columns as they stand, each with what
 * its header says. */
#ifndef RUNDOWN_INTAKE_LOG_LOOK_H
#define RUNDOWN_INTAKE_LOG_LOOK_H

#include "intake/log.h"

enum { LOOK_ROWS = 8, LOOK_CELL = 48 };

struct log_look {
    char delimiter, decimal;
    bool utf8;             /* else read as ISO 8859-1 */
    size_t bytes;          /* of the whole log */
    long header_line;      /* 0 when there is none */
    struct column_choice *columns;
    size_t column_count;
    char (*cells)[LOOK_CELL];  /* of the first rows, as they stand: [rows * column_count] */
    long lines[LOOK_ROWS];     /* where each of them stands */
    size_t rows;
    enum sign_stated sign;
    bool invented;
    bool refused;
    struct message refusal;
    struct notices notices;
};

/* Fails where there are no rows to look at: no text, no table. */
enum status log_look(const char *path, const struct log_options *options, struct log_look *ret_look,
                     struct message *message);
void log_look_free(struct log_look *look);

#endif
