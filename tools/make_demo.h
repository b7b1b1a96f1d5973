/* Make demo: what its parts share. */
#ifndef RUNDOWN_TOOLS_MAKE_DEMO_H
#define RUNDOWN_TOOLS_MAKE_DEMO_H

#include "base/status.h"
#include "base/text.h"
#include "rehearsal/instrument.h"
#include "rehearsal/run.h"

/* A test that is made: what is done to which pack, then what was true and what was read. */
struct demo_test {
    struct program program;
    struct pack_make make;
    struct truth truth;
    struct shown shown;
    bool charges; /* whoever looks calls the current into the sample positive */
};
void demo_run(struct demo_test *test); /* from a full pack */
void demo_free(struct demo_test *test);

/* An instant of the program: so long after a segment began; negative: before its end. */
struct demo_instant {
    size_t segment;
    double offset_s;
};
double demo_instant_s(const struct truth *truth, struct demo_instant instant);

/* One look at a panel meter. */
struct demo_look {
    struct demo_instant at;
    const char *shows; /* V A W C, Q for Ah, E for Wh; ~ before one that was read in passing */
    const char *mark;
};
/* `frames` a second: a film's timecode; 0: hours, minutes and seconds from the start. */
void demo_write_looks(struct demo_test *test, const struct demo_look *looks, size_t count, int frames, uint32_t seed,
                      struct text *readings);

/* A 0.75 mOhm shunt, fed from the mains, a row every two seconds. Its errors lie within hut-pack.rig. */
extern const struct instrument_make demo_logger;
/* The one that the workshop has: the same errors in each of its logs, however it is set. `random` goes on from there. */
struct instrument demo_logger_of(const struct instrument_make *as_set, struct random **ret_random);

/* What was true of a log, as an entry of the object `truths`: amounts, the board's changes of mind, the end. */
void demo_tell_truth(const char *log, const struct truth *truth, struct text *truths);

enum status demo_save(const char *folder, const char *name, struct text *content, struct message *message);

/* The rest of the case: charges, a rest, protections (make_demo_case.c). */
enum status demo_case(const struct cell_ocv *ocv, const char *folder, struct text *truths, struct message *message);

/* Pictures of the opened sample 014 (make_demo_pictures.c). */
enum status demo_pictures(const char *folder, struct message *message);

#endif
