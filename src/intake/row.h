/* Row: one line of a log becomes one reading.
 *
 * Two ways give the same outcome: a fast one for lines of plain decimals (a fixed-point mantissa of at
 * most 2^53 divided by a power of ten of at most 1e22 is the double nearest to the text, as both are
 * exact), and a slow one for everything else. */
#ifndef RUNDOWN_INTAKE_ROW_H
#define RUNDOWN_INTAKE_ROW_H

#include "intake/digits.h"
#include "intake/log.h"
#include "intake/log_layout.h"
#include "intake/stamp.h"

/* What is done with the cells of a column. */
struct cell_task {
    enum column_role role;
    enum channel channel;
    struct unit unit;
};

struct row_plan {
    const struct log_layout *layout;
    struct cell_task *tasks; /* owned; one a column, to the last that is used */
    size_t task_count;
    size_t least_cells, most_cells; /* fewer: cut short; more that are not empty: a delimiter too many */
    struct stamp_form form;
    int time, date;  /* columns, -1 when there is none */
    double zero;     /* what stands for t = 0: a number in the log's unit, or seconds */
    double period_s; /* > 0 without a time column: t is the count of rows until rows_read ends */
    bool slow_only;  /* for tests: both ways give the same */
};

/* A mark, or a change of the step index. */
struct row_event {
    size_t row;
    long line;
    double t_s;    /* filled by order_rows */
    uint64_t step; /* hash of the cell, when words is NULL */
    char *words;
};

/* What a column of words held in the row before; `known` once there was one. */
struct last_words {
    char text[96];
    size_t length;
    bool known;
};

/* Where the readings of one stretch go. Rows and lines are counted from its start. */
struct row_sink {
    double *t_s;
    double *column[CHANNELS];
    int8_t *mode;
    bool keep_digits;
    uint8_t *time_digits, *digits[CHANNELS]; /* when they are kept; see intake/digits.h */
    struct odd_cell *odd;
    size_t odd_count, odd_capacity;
    size_t room;        /* for so many rows: a log that grew lines while it was read has more */
    size_t rows, slots; /* good rows; good and bad ones */
    long lines;
    size_t missing, bad_count, comments, repeats;
    struct bad_row *bad; /* the first LOG_BAD_ROWS_LISTED */
    size_t bad_capacity;
    struct row_event *events;
    size_t event_count, event_capacity;
    bool zone, order_open, unordered;
    double last_t;
    struct last_words last[3]; /* of the mode, step and mark columns: most rows repeat them */
    int last_mode;
    long moved_header; /* line of a header inside that names the columns otherwise; 0 none */
};

enum { ROW_PADDING = 32 }; /* readable bytes that must follow the text handed to row_parse */

/* Parses the lines in [p, end); each ends on the newline, the last may end at `end`. Where `more` > end,
 * a quoted cell may run on up to there. Returns where it stopped: `end`, or beyond it after such a cell. */
const char *row_parse(const struct row_plan *plan, const char *p, const char *end, const char *more,
                      struct row_sink *sink);

/* Counts a line that never ends as a bad row. */
void row_too_long(struct row_sink *sink, struct span start);

/* Which of a sink's last words go with a role; -1 for a role that has none. */
int row_words_of(enum column_role role);

/* Brings the numbers of the time column (of a clock its seconds, without either the rows' count) to t_s. */
struct unit row_time_unit(const struct row_plan *plan);

bool row_words_repeat(const struct last_words *last, struct span cell);

void row_sink_free(struct row_sink *sink); /* what it owns: events, bad rows, odd cells */

#endif
