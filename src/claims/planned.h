/* Planned: a plan out of what a book holds: the sample's label, a rig and loads of the workshop, the start.
 *
 * Two steps, so that a caller may put a file in the place of a paper between them. */
#ifndef RUNDOWN_CLAIMS_PLANNED_H
#define RUNDOWN_CLAIMS_PLANNED_H

#include "base/notices.h"
#include "book/sample.h"
#include "claims/plan.h"

/* Which papers: a document's number; PLANNED_NONE; PLANNED_AS_BEFORE: those of the saved plan, else the one of that
 * kind last put with the sample, else with the workshop. */
enum { PLANNED_NONE = 0, PLANNED_AS_BEFORE = -1 };
struct plan_wish {
    int64_t rig, loads;
    bool start_chosen;    /* else the saved plan's start */
    bool unlabelled;      /* a sample without a label is no fault: it stays label_empty() */
    double start_clock_s; /* NaN: none */
};

struct planned {
    struct label label;
    struct rig rig;
    struct loads loads;
    bool has_rig, has_loads;
    struct notices notices;   /* of the papers */
    struct plan plan;         /* after planned_make */
    int64_t label_id, rig_id, loads_id;
    int64_t saved_id;         /* the version of the plan that the book holds; 0 none */
    int64_t saved_utc_ns;
    struct text saved;        /* its text */
    bool of_book;             /* every paper that it has is the book's */
    char rig_paper[BOOK_NAME], loads_paper[BOOK_NAME];
    double start_clock_s;
};

struct planned planned_empty(void);
/* Reads the papers. A sample without a label is a fault. On failure too planned_free. */
enum status planned_take(struct book *book, int64_t sample, const struct plan_wish *wish, struct planned *planned,
                         struct message *message);
/* Makes the plan of what is there; may be called again. Fails where the label states no capacity. */
enum status planned_make(struct planned *planned, struct message *message);
/* Whether the saved plan is word for word what would be saved now. */
bool planned_is_saved(const struct planned *planned);
/* Saves it as a new version of the sample's plan. */
enum status planned_save(struct book *book, int64_t sample, struct planned *planned, int64_t utc_ns,
                         struct message *message);
void planned_free(struct planned *planned);

#endif
