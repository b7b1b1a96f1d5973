/* Paper check: a text of one of the forms of docs/, checked line by line while it is typed.
 *
 * The reader of the form stops at its first fault. Here the line at fault is set aside and the rest read again, up
 * to PAPER_FAULTS times, so that each line is told what is wrong with it or what it was taken for. A text is
 * readable only when there is no fault at all. */
#ifndef RUNDOWN_CLAIMS_PAPER_CHECK_H
#define RUNDOWN_CLAIMS_PAPER_CHECK_H

#include "base/notices.h"
#include "base/status.h"
#include "base/text.h"
#include "book/sample.h"
#include "quantity/sightings.h"

enum paper_form { PAPER_LABEL, PAPER_RIG, PAPER_LOADS, PAPER_PLAN, PAPER_READINGS, PAPER_OPENED, PAPER_FORMS };
extern const char *const paper_form_words[PAPER_FORMS + 1]; /* "label", …, NULL */

/* False for a document of no form: a note, the tester's summary. */
bool paper_has_form(enum document_kind kind, enum paper_form *ret_form);

enum { PAPER_FAULTS = 20 };

/* What a line was taken for. Blank lines have none. */
struct paper_line {
    long line;        /* from 1 */
    const char *kind; /* static: "remark", "section", "setting", "claim", "load", "heading", "reading", "mark", "fault" */
    char *taken;      /* owned; "" where the line says all there is to say */
};

struct paper_check {
    struct message *faults; /* in the order found; the first is that of the whole text as it stands */
    size_t fault_count;
    bool more_faults;       /* the search for them was given up */
    struct notices notices; /* of what could be read */
    struct paper_line *lines; /* in the order of their numbers */
    size_t line_count, line_capacity;
};

/* `name` is for messages. */
void paper_check(enum paper_form form, const char *name, struct span text, struct paper_check *ret_check);
void paper_check_free(struct paper_check *check);

/* The whole text, or its first fault: before it is kept. */
enum status paper_judge(enum paper_form form, const char *name, struct span text, struct notices *notices,
                        struct message *message);

/* `0:12:30 ± 0.5 s · 12.91 ± 0.005 V · above 95 A, filmed · mark: burst`: what a typed line allows. */
void paper_instant_words(const struct instant *instant, struct text *text);

#endif
