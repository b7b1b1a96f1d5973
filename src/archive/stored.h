/* Stored: what intake read goes into the book, and comes out as intake gave it.
 *
 * `assess` on a run of the book gives what it gave on the file: the same series to the last bit, the same words
 * about columns, rows left out, gaps and notices. */
#ifndef RUNDOWN_ARCHIVE_STORED_H
#define RUNDOWN_ARCHIVE_STORED_H

#include "book/book_run.h"
#include "intake/log.h"
#include "quantity/accuracy.h"
#include "quantity/sightings.h"

/* What the operator says of a run that is put in: its sample, kind and documents; a name, "" for the file's own.
 * The rest of `run` is found from the file. */
struct stored_request {
    struct book_run run;
    void (*progress)(void *context, double share); /* may be NULL */
    bool (*stopped)(void *context);                /* likewise: true ends the storing with a fault, and nothing is kept */
    void *context;
};

/* A log, read with `digits` kept (log_options), becomes a run with one stream. */
enum status stored_log(struct book *book, const struct stored_request *request, const struct log *log,
                       int64_t *ret_run, struct message *message);
/* Typed readings, as typed; they must be readable. */
enum status stored_readings(struct book *book, const struct stored_request *request, const char *path,
                            int64_t *ret_run, struct message *message);

/* A run out of the book: a log with its series joined from the run's streams, or sightings. */
struct stored {
    struct book_run run;
    bool by_eye;
    struct log log;             /* when !by_eye; its path is `BOOK:RUN` */
    struct sightings sightings; /* when by_eye */
    struct notices notices;     /* about the sightings */
    double skew_s;              /* caused by joining; widens the rig's */
};
enum status stored_read(struct book *book, int64_t run, struct stored *ret_stored, struct message *message);
void stored_free(struct stored *stored);

/* What was typed into a recording, its readings and marks, each at the instant of the run's clock at which it was
 * typed; without what was taken back. The caller frees it. */
enum status stored_typed(struct book *book, int64_t run, struct sightings *ret_typed, struct message *message);

/* Topic of the note that takes back a line or mark of a recording: it holds the same instant and text, both stay in
 * the book, and stored_read leaves the line out. */
extern const char stored_taken_back[];
/* Whether the line or mark is one of those. */
bool stored_is_taken_back(const struct book_event_list *events, size_t line);

/* Which way the amps of a run count, as far as somebody said so: a rig's channels and typed readings do, a log may.
 * Without its readings. */
enum status stored_sign(struct book *book, const struct book_run *run, enum sign_stated *ret_sign,
                        struct message *message);

/* What the book holds about a run beside its readings: the sample's label as it stands now, and the rig as it was
 * then. The texts are empty where there is none. */
struct stored_papers {
    struct book_run run;
    struct text label, rig;
    char label_name[128], rig_name[128];
};
enum status stored_papers_read(struct book *book, int64_t run, struct stored_papers *ret_papers,
                               struct message *message);
void stored_papers_free(struct stored_papers *papers);

/* The plan that the run was to follow: the sample's, as it stood when the run came into the book; a later one is for
 * later tests. Empty when there was none. */
enum status stored_plan_read(struct book *book, int64_t run, struct text *ret_text, char ret_name[static 128],
                             struct message *message);

/* `workshop.book:12`: a book and a run of it, when the part before the last colon looks like a book. */
bool stored_name(const char *path, char *ret_book, size_t size, int64_t *ret_run);

#endif
