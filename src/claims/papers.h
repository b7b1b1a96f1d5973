/* Papers: the label, and the rig of each thing that is assessed, from the files named or from the book that a run
 * lies in. A file given stands before the book's. */
#ifndef RUNDOWN_CLAIMS_PAPERS_H
#define RUNDOWN_CLAIMS_PAPERS_H

#include "claims/assessment.h"

/* One of request->logs. */
struct paper {
    char book[1024]; /* "" for a file */
    int64_t run;
    bool invented;   /* the book says so of the run */
    struct rig rig;
};

/* Fills the label, what the book says of the data, and assessment->rig, the first's; `ret_papers` gets one for each
 * of request->logs; free() it. Runs of several samples are STATUS_AMBIGUOUS unless a label is given. */
enum status papers_take(const struct assess_request *request, struct assessment *assessment,
                        struct paper **ret_papers, struct message *message);

#endif
