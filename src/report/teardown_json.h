/* Teardown in words and as JSON: what the calculations of an inspection say, for commands and pages alike. Rows have 2
 * columns: what, how it is. */
#ifndef RUNDOWN_REPORT_TEARDOWN_JSON_H
#define RUNDOWN_REPORT_TEARDOWN_JSON_H

#include "report/json_parts.h"
#include "report/listing.h"
#include "teardown/ampacity.h"
#include "teardown/case_size.h"
#include "teardown/cell_code.h"
#include "teardown/lead_findings.h"
#include "teardown/thermistor.h"

/* `year` 0: the age is left out. */
void cell_code_account(const struct cell_code *code, int year, int month, int day, struct listing *rows);
json_t *cell_code_json(const struct cell_code *code, int year, int month, int day);
void cell_batch_words(const struct cell_batch *batch, struct text *text); /* a sentence or two */
json_t *cell_batch_json(const struct cell_batch *batch);

/* 4 columns: group, outline, how the case fits, source. */
void case_match_account(const struct case_match *matches, size_t count, struct listing *rows);
json_t *case_match_json(const struct case_match *matches, size_t count);

/* A lead and what it does at some currents. */
struct wire {
    struct lead lead;
    double insulation_degc;      /* NaN: not known */
    struct lead_limits limits;
    struct lead_findings at[2];  /* at the rated and the burst current */
    int count;
};
void wire_account(const struct wire *wire, struct listing *rows);
json_t *wire_json(const struct wire *wire);
/* The limit in words: "the jacket", "the cell", … */
const char *wire_limit_words(enum lead_limit limit);

#endif
