/* Runs: one recorded test each, with its streams, marks and events.
 *
 * Times within a run are seconds from its start by the recorder's monotonic clock (or the log's own), kept
 * beside one absolute start. A run is open while it is recorded; a run that a crash left open can be resumed,
 * and then holds a gap with its cause. */
#ifndef RUNDOWN_BOOK_BOOK_RUN_H
#define RUNDOWN_BOOK_BOOK_RUN_H

#include "book/book.h"
#include "base/text.h"

enum test_kind { TEST_DISCHARGE, TEST_CHARGE, TEST_REST, TEST_PROTECTION, TEST_WHOLE, TEST_KINDS };
enum test_origin { TEST_RECORDED, TEST_IMPORTED, TEST_TYPED, TEST_REHEARSED, TEST_ORIGINS };
extern const char *const test_kind_words[TEST_KINDS + 1];     /* "discharge", …, NULL */
extern const char *const test_origin_words[TEST_ORIGINS + 1]; /* "recorded", …, NULL */

struct book_run {
    int64_t id, sample;
    enum test_kind kind;
    enum test_origin origin;
    char name[128];           /* the log's file name, or what the operator calls it */
    int64_t rig_document;     /* the version that held then; 0 none */
    int64_t label_document;
    double start_utc_s;       /* NaN unknown */
    bool zone_known;
    bool open;
    double end_s;             /* of the last reading; NaN while empty; of an open run as its streams have it */
    bool invented;
    int64_t added_utc_ns;
};

struct book_run_list {
    struct book_run *items;
    size_t count;
};

enum status book_run_add(struct book *book, const struct book_run *run, int64_t *ret_id, struct message *message);
enum status book_run_get(struct book *book, int64_t id, struct book_run *ret_run, struct message *message);
enum status book_run_remove(struct book *book, int64_t id, struct message *message);
/* The end of an open run: keeps when its last reading came (NaN: none did). */
enum status book_run_close(struct book *book, int64_t id, double end_s, struct message *message);
/* Of one sample, or of all (sample 0), in the order of their start. */
enum status book_runs(struct book *book, int64_t sample, struct book_run_list *ret_list, struct message *message);
void book_run_list_free(struct book_run_list *list);
/* `field` is "name", "kind", "rig", "label" or "sample"; rig, label and sample are given by their numbers, written
 * out ("0": no rig, no label). The old value is kept (book/correction.h). */
enum status book_run_correct(struct book *book, int64_t id, const char *field, const char *value, int64_t utc_ns,
                        struct message *message);

/* A word put at an instant, a gap, a call: whatever happened in a run that is no reading. */
enum event_kind { EVENT_MARK, EVENT_GAP, EVENT_CALL, EVENT_LINK, EVENT_NOTE, EVENT_LINE, EVENT_KINDS };
extern const char *const event_kind_words[EVENT_KINDS + 1];
struct book_event {
    enum event_kind kind;
    double t_s, until_s; /* until_s: of a gap; else NaN */
    int64_t stream;      /* 0: the whole run */
    char topic[32];      /* "mark", "call rated", "instrument silent", … */
    char *text;          /* owned where read; EVENT_LINE: a line of hand readings as typed */
};
struct book_event_list {
    struct book_event *items;
    size_t count;
};
enum status book_event_add(struct book *book, int64_t run, const struct book_event *event, struct message *message);
/* In the order of their time, those of one instant as they were added. */
enum status book_events(struct book *book, int64_t run, struct book_event_list *ret_list, struct message *message);
void book_event_list_free(struct book_event_list *list);

/* A text that belongs to the run: typed readings as typed, what a log's reader said of its columns (JSON).
 * The latest of a topic holds; earlier ones stay in the book. */
enum status book_run_text_put(struct book *book, int64_t run, const char *topic, struct span text, struct message *message);
enum status book_run_text_get(struct book *book, int64_t run, const char *topic, struct text *ret_text,
                         struct message *message); /* empty when there is none */

/* A finding that some version of the method made; recomputable, kept so that a change of method shows. */
enum status finding_put(struct book *book, int64_t run, const char *method, struct span json, int64_t utc_ns,
                        struct message *message);
enum status finding_latest(struct book *book, int64_t run, struct text *ret_method, struct text *ret_json,
                           struct message *message);

#endif
