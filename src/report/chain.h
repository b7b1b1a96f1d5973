/* Chain: from raw readings through method and budget to a number, link by link, for one finding. The one source of
 * what explain.h prints and of what json_chain gives to programs. */
#ifndef RUNDOWN_REPORT_CHAIN_H
#define RUNDOWN_REPORT_CHAIN_H

#include "base/json_value.h"
#include "claims/assessment.h"
#include "report/listing.h"

enum chain_kind {
    CHAIN_WORDS,    /* a paragraph */
    CHAIN_FACT,     /* title: words */
    CHAIN_MEASURE,  /* title, and a measured quantity with its budget */
    CHAIN_TABLE,    /* title ("" none) and rows */
    CHAIN_READINGS, /* where it comes from: title is the path, words say how much of it was read */
};

struct chain_link {
    enum chain_kind kind;
    bool apart;          /* parted from the link before */
    bool inner;          /* belongs to the link before */
    char *title, *words; /* owned, never NULL */
    struct measure measure;
    enum quantity quantity;
    struct listing rows;
    const char *heads;   /* of a table: parted by |; static */
    size_t record;       /* CHAIN_READINGS: of the assessment */
    double from_s, to_s; /* the readings it rests on; NaN: all, or no times */
    long first, last;    /* their numbers in the log from 1; 0 none */
    bool lines;          /* read by eye: the lines of the first and the last instead */
};

struct finding_chain {
    char finding[64]; /* a claim's slug, or one of chain_findings */
    struct chain_link *links;
    size_t count, capacity;
};

/* charge, energy, mean-voltage, resistance, burst, load, ending, tally, conditions, protections, rate; NULL at the end. */
extern const char *const chain_findings[];

/* `finding`: a claim's slug or name, or one of chain_findings, of each log. Where the label has a claim of that name
 * the claim is told. A name that is neither is a usage error that lists them. */
enum status chain_make(const struct assessment *assessment, const char *finding, struct finding_chain *ret_chain,
                       struct message *message);
void chain_free(struct finding_chain *chain);

json_t *json_chain(const struct finding_chain *chain); /* docs/json.md; handed over */

#endif
