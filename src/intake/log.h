/* Logs: delimited text from any instrument or program, read into a series.
 *
 * The reader believes nothing of the layout but what it can see: it finds the encoding, the preamble,
 * the header, the delimiter, the decimal sign, the columns and their units, and the form of time, and
 * it says for each column what it took it for and why. Where two columns could serve and the choice
 * would change the result it refuses (STATUS_AMBIGUOUS) and names the option that settles it. A row
 * that cannot be read is counted, listed and left out; nothing is repaired.
 *
 * Large logs are cut into pieces at line ends and read on several threads, a fixed-point parser
 * taking the common decimals and base/number the rest; the outcome does not depend on the cut. */
#ifndef RUNDOWN_INTAKE_LOG_H
#define RUNDOWN_INTAKE_LOG_H

#include "base/notices.h"
#include "base/status.h"
#include "intake/digits.h"
#include "intake/headers.h"
#include "quantity/series.h"

/* `--column time=2`, `--column current=NAME`: settles a role by number (from 1) or header. Behind a
 * number may stand the unit or the form of time: `current=2:mA`, `time=1:min`, `time=1:mm:ss`, `time=1:dmy`. */
struct column_wish {
    enum column_role role; /* COLUMN_UNUSED leaves a column out: `unused=5` */
    enum channel channel;  /* when role is COLUMN_CHANNEL */
    char name[128];        /* header text, or the digits of a number */
    char detail[16];       /* unit or form, "" when none is given */
};

/* Parses `time=2` or `current=I [A]`; an unknown quantity is a usage error that lists the known ones. */
enum status column_wish_read(const char *option, struct column_wish *ret_wish, struct message *message);

/* Which way the log counts its current, as far as words in it say, or somebody does. */
enum sign_stated { SIGN_NOT_STATED, SIGN_DISCHARGE_POSITIVE, SIGN_CHARGE_POSITIVE, SIGN_BY_MODE };

struct log_options {
    const struct column_wish *wishes;
    size_t wish_count;
    double period_s;                               /* > 0: no time column, one row every so many seconds */
    bool digits;                                   /* keep how each number was printed */
    int threads;                                   /* 0: as many as there are processors */
    enum sign_stated sign;                         /* which way the current counts, where somebody says so */
    void (*progress)(void *context, double share); /* may be NULL; called from the calling thread */
    bool (*stopped)(void *context);                /* likewise: true ends the reading with a fault */
    void *context;
};

struct column_choice {
    int number;      /* from 1 */
    char header[96]; /* as in the log, "" when there is none */
    enum column_role role;
    enum channel channel;
    char unit[16]; /* as in the log */
    double factor; /* to the own unit */
    char why[160]; /* "header says voltage, unit V"; "asked for as time"; "not used: …" */
};

struct bad_row {
    long line;
    int column;      /* from 1; 0: the whole row */
    char text[48];   /* the cell as it stands */
    const char *why; /* static */
};

enum { LOG_BAD_ROWS_LISTED = 100 };

struct log {
    char path[1024];
    struct series series; /* the column marked `mode` has already given its sign when SIGN_BY_MODE:
                                    then amps are positive when they leave the sample */
    enum sign_stated sign;
    struct column_choice *columns;
    size_t column_count;
    struct bad_row bad[LOG_BAD_ROWS_LISTED];
    size_t bad_count;      /* all of them; the first LOG_BAD_ROWS_LISTED are listed */
    size_t missing_cells;  /* empty, NaN, overload marks in otherwise good rows */
    size_t out_of_order;   /* rows put into the order of time */
    long rows, first_line; /* data rows seen; the line of the first */
    struct digits digits;  /* when they are kept */
    char delimiter, decimal;
    bool invented; /* a comment says that the data are invented */
    struct notices notices;
    char **kept;   /* words that reasons and topics point at where they are not static; see log_keep */
    size_t kept_count, kept_capacity;
};

/* `path` "-" is standard input. On success the caller owns ret_log (log_free). */
enum status log_read(const char *path, const struct log_options *options, struct log *ret_log,
                     struct message *message);
void log_free(struct log *log);

/* A copy of the words that lives as long as the log: for a log that comes from elsewhere than a file. */
const char *log_keep(struct log *log, const char *words);

#endif
