/* Rows: all lines of a log, read in pieces on several threads into one series.
 *
 * A first pass counts the line ends of each piece, so that every piece knows its lines' numbers and
 * where its readings go; a second parses the pieces in place. Each thread reads into one small buffer
 * that it uses again and again: first touch of fresh memory costs more than parsing. A log with quotes
 * is read in order on one thread, as a quoted cell may hold line ends and reach into the next piece.
 * The outcome depends neither on the cut nor on the number of threads. */
#ifndef RUNDOWN_INTAKE_ROWS_H
#define RUNDOWN_INTAKE_ROWS_H

#include "intake/row.h"

enum { ROWS_MARKS_MOST = 20000 };

struct rows {
    size_t capacity;          /* of the arrays */
    struct series series;     /* in the order of the file */
    struct digits digits;     /* when they are kept; without the mode */
    int8_t *mode;             /* +1, -1, 0, or 2 for a word that is no mode; NULL without a mode column */
    struct row_event *events; /* in the order of rows */
    size_t event_count;
    struct bad_row bad[LOG_BAD_ROWS_LISTED];
    size_t bad_count, missing, comments, repeats;
    size_t marks_left_out; /* beyond ROWS_MARKS_MOST */
    bool zone, order_open, unordered;
    long moved_header;
};

struct rows_how {
    int threads;  /* 0: as many as there are processors */
    size_t piece; /* bytes; 0: the usual */
    bool digits;  /* keep them */
    void (*progress)(void *context, double share); /* these two as in log.h */
    bool (*stopped)(void *context);
    void *context;
};

enum status rows_read(const struct source *source, const struct row_plan *plan, const struct rows_how *how,
                      struct rows *ret_rows, struct message *message);
void rows_free(struct rows *rows);

/* All arrays that have an item a row, with the size of one. */
struct rows_lane {
    char *items;
    size_t size;
};
enum { ROWS_LANES = 2 * (CHANNELS + 1) + 2, ROWS_LANE_SIZE = 16 };
size_t rows_lanes(const struct rows *rows, struct rows_lane ret_lanes[static ROWS_LANES]);

#endif
