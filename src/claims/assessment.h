/* Assessment: one sample, its label, its logs, the findings of each, and the verdict claim by claim.
 * What every output (terminal, JSON, sheet, page, figures, replies) is made from. */
#ifndef RUNDOWN_CLAIMS_ASSESSMENT_H
#define RUNDOWN_CLAIMS_ASSESSMENT_H

#include "claims/decide.h"
#include "intake/log.h"

#include "teardown/inspection.h"

#include "battery/difference.h"
#include "battery/direction.h"
#include "battery/peukert.h"

/* One log or one file of sightings, and what was found in it. */
struct record {
    char path[1024];
    bool by_eye;
    struct log log;             /* when !by_eye */
    struct sightings sightings; /* when by_eye */
    struct direction direction;
    struct findings findings;
};

/* Two tests held against each other; what they share (the rig's gain) cancels. */
struct comparison {
    size_t first, second; /* records; the difference is second less first */
    struct difference charge_ah, energy_wh;
};

/* Things that do not go together; see contradictions.h. */
struct contradiction {
    char words[400];
    size_t claim;        /* index of the decision that it bears on; SIZE_MAX */
    char item[96];       /* slug of the opened item; "" */
};

struct assessment {
    struct label label;  bool has_label;
    struct opened opened; bool has_opened;
    struct inspection inspection; /* of the opened sample; zeros without */
    struct rig rig;
    struct record *records; size_t record_count;
    struct decision *decisions; size_t decision_count; /* one a claim */
    struct peukert peukert;     /* over the records' tests */
    struct comparison *comparisons; size_t comparison_count; /* each later test against the first */
    double decide;              /* probability that decides, 0.975 */
    bool invented;              /* some input says that its data are invented */
    struct notices notices;
    struct contradiction *contradictions; size_t contradiction_count; /* the weightiest first */
    char summary[2048];         /* a few plain sentences, cautious where the evidence is: composed, never edited */
    char *opinion;              /* the tester's own words in place of the summary, shown as opinion; NULL: none */
    char *command;              /* that makes the same assessment again; see claims/recompute.h */
};

struct assess_request {
    const char *const *logs; size_t log_count;
    const char *label, *rig, *plan; /* paths; NULL when absent */
    struct span label_text;     /* the label itself, where it lies in no file: `label` is then its name */
    const char *opened;         /* path of what was seen in the opened sample; NULL when absent */
    struct span opened_text;    /* likewise; one that cannot be read is told as a notice and left out */
    struct span opinion;        /* text of the tester's own summary; p NULL: none */
    const char *book, *sample;  /* all of this sample, with papers that no file holds, is asked about; NULL: the logs */
    bool invented;              /* whoever asks says so of the data */
    double cut_offs[ASKED_CUT_OFFS]; int cut_off_count;
    double decide;              /* 0: the default */
    int sign;                   /* --current: +1 discharge positive, -1 charge positive, 0 find out */
    enum load_law law;
    struct log_options log_options;
};

enum status assess(const struct assess_request *request, struct assessment *ret_assessment,
                   struct message *message);
void assessment_free(struct assessment *assessment);

/* The record whose test the capacity claim rests on (the largest discharge); NULL when there is none. */
const struct record *assessment_main(const struct assessment *assessment);

/* The stops by the board of all logs, one after the other; the caller frees them. */
struct trip *assessment_trips(const struct assessment *assessment, size_t *ret_count);
size_t verdict_count(const struct assessment *assessment, enum verdict verdict);

#endif
