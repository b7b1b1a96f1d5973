/* Account: what an assessment says, in words, as listings that the sheet and the page set alike.
 *
 * Each function appends rows; the columns are named beside it. A listing without rows says that there is
 * nothing of the kind. */
#ifndef RUNDOWN_REPORT_ACCOUNT_H
#define RUNDOWN_REPORT_ACCOUNT_H

#include "base/text.h"
#include "claims/assessment.h"
#include "report/listing.h"

const char *account_file(const char *path); /* without its folders: what is published shows no disk */

/* The sample as the label names it; without a label the file that the test is in. */
const char *account_title(const struct assessment *assessment);

/* How the sample was had, when it was tested, with which rig: a sentence or two each. */
void account_about(const struct assessment *assessment, struct text *text);

/* What, how it went: amounts, load, rated values, the end. 2 columns. */
void account_test(const struct record *record, struct listing *rows);
/* A burst and what it cost; when `brief`, what bounds its cost in charge is a number only. 2 columns. */
void account_bursts(const struct findings *findings, bool brief, struct listing *rows);
/* The meter's own tallies beside the integrals, in one row. 2 columns. */
void account_tallies(const struct findings *findings, struct listing *rows);
/* Cut-off, charge, energy, at. 4 columns. */
void account_cut_offs(const struct findings *findings, struct listing *rows);
/* Step in two lines, then the resistance after the first sample, 1 s, 10 s and 30 s; at most `most` steps, the largest, in
 * the order of time. Returns how many were left out. 5 columns. */
size_t account_resistances(const struct findings *findings, size_t most, struct listing *rows);
/* Pulse pairs. 3 columns: at, currents, resistance. */
void account_pulse_pairs(const struct findings *findings, struct listing *rows);
/* Condition, was, asked for by the standards ("" when it was as asked), likely effect in words. 4 columns. */
void account_conditions(const struct findings *findings, struct listing *rows);
/* Run, from, to, charge, energy, mean volts, how it ended. 7 columns. */
void account_runs(const struct findings *findings, struct listing *rows);

/* What charges showed (parts, tail, end, fullness, balancing), and how the volts settled at rest. 2 columns. */
void account_charges(const struct record *record, struct listing *rows);
void account_rests(const struct record *record, struct listing *rows); /* the rests alone */
/* Stops in the cold and in the heat at which the probe's place is known. 8 columns: what and which sensor was treated, mark before it, current, delay
 * after the mark, the place's temperature, the threshold, and both at the release; what is not known is a dash. */
void account_stops(const struct record *record, struct listing *rows);
extern const char *const account_stops_heads[8]; /* those of numbers begin with `>` */
/* Stops of a charge in the cold, and in the heat, of which there are two and more: their means. 2 columns. */
void account_repeats(const struct findings *findings, struct listing *rows);
/* What the board did besides, and what that table leaves open: other stops, repeats together, the low-voltage stop. 2 columns. */
void account_protections(const struct record *record, struct listing *rows);
/* Currents held, and how the sample warmed meanwhile. 2 columns. */
void account_holds(const struct record *record, struct listing *rows);
/* One item of the opened sample: what was typed, then what it comes to and means. 2 columns. */
void account_opened(const struct inspected *item, struct listing *rows);
/* Parts of the same: what was typed, in one run of words; what it comes to; the tester's grade and opinion. */
void account_opened_seen(const struct inspected *item, struct text *text);
void account_opened_values(const struct inspected *item, struct listing *rows);
void account_opened_judged(const struct inspected *item, struct listing *rows);
/* Leads and bars of which there are two and more are told beside each other: whether this one is, and then the last. */
bool account_beside(const struct inspection *inspection, const struct inspected *item, bool *ret_last);
/* Some of them, from the first that the caller has not had: what it is that they come to, then what each does. The columns
 * are one more than the items returned; 0 when all were had. */
enum { ACCOUNT_BESIDE = 3 };
size_t account_conductors(const struct inspection *inspection, size_t had, const struct inspected *ret_items[static ACCOUNT_BESIDE],
                          struct listing *ret_rows);
/* "Conductor plus lead": its title with a capital. */
void account_opened_title(const struct inspected *item, char *title, size_t size);
/* Of each item that says more than what was typed: against the label, the current it allows, what it means, the grade.
 * 2 columns. */
void account_opened_brief(const struct inspection *inspection, struct listing *rows);

/* Indices of the parts of a budget, by falling share; share is u²/Σu². Returns the count. */
int budget_order(const struct measure *measure, int ret_order[MEASURE_PARTS], double ret_share[MEASURE_PARTS]);
/* The measure in the unit that people write, and that unit's symbol. */
struct measure account_shown(const struct measure *measure, enum quantity quantity, const char **ret_symbol);
/* Share, standard uncertainty with its unit, cause with its shape. The largest first; when `brief`, those below
 * a thousandth of the variance in one row. 3 columns. */
void account_budget(const struct measure *measure, const char *symbol, bool brief, struct listing *rows);
/* Two measures beside each other: cause, then its share of each; the largest first, those below a thousandth
 * of either variance in one row; at last the standard uncertainties. 3 columns. */
void account_budgets(const struct measure *a, const char *a_symbol, const struct measure *b, const char *b_symbol,
                     struct listing *rows);
/* Names the largest contribution and what would shrink it; "" when there is none. */
void account_largest(const struct measure *measure, struct text *text);

/* Claim, as stated, where, found, probability, verdict, reason. 7 columns. */
void account_claims(const struct assessment *assessment, struct listing *rows);

/* Claim and item, words: what does not go together. 2 columns. */
void account_contradictions(const struct assessment *assessment, struct listing *rows);
/* Parts and claims of which nothing, or too little, was seen, and why. 2 columns. */
void account_untested(const struct assessment *assessment, struct listing *rows);

/* Topic, words. All notices, those of the logs with their line. 2 columns. */
void account_notices(const struct assessment *assessment, struct listing *rows);

#endif
