/* Shelf: what of an assessment stands on the shelf beside other samples: what was claimed, what was found, and how
 * thin the evidence is. One form for the page, `sample list` and the comparison; docs/json.md tells it. */
#ifndef RUNDOWN_REPORT_SHELF_H
#define RUNDOWN_REPORT_SHELF_H

#include "base/json_value.h"
#include "book/book.h"
#include "claims/assessment.h"

struct shelf_entry {
    /* Claimed: own units, NaN where the label is silent. */
    double nominal_v, rated_ah, rated_wh, claimed_kg, claimed_l;
    /* Found. Charge and energy as the claims on them are decided, else all that the main test delivered; resistance
     * at the step where it is known best; the rest as noted on the label. Litres of the outer box. */
    struct measure charge_ah, energy_wh, resistance_ohm, mass_kg, volume_l;
    double resistance_delay_s;
    bool mass_claimed, volume_claimed; /* not measured: the claim stands in, without an interval */
    /* Delivered energy for each of these; the price is taken as exact. */
    struct measure wh_per_kg, wh_per_l, wh_per_price;
    double price;
    const char *currency; /* borrowed from the assessment, like all words here */
    const struct decision *charge, *energy, *mass; /* on these claims; NULL without */
    const struct record *main;                     /* assessment_main */
    struct text thin; /* why the evidence is thin, in words parted by "; ": "no discharge; no rig"; owned */
};

void shelf_entry_of(const struct assessment *assessment, struct shelf_entry *ret_entry);
void shelf_entry_free(struct shelf_entry *entry);

/* Of a measured quantity value, low, high and words. */
json_t *shelf_json(const struct assessment *assessment);

/* The method that digests of the book are made with. */
extern const char shelf_method[];

/* Makes the digest of a sample and keeps it in the book; `basis` was asked before the assessment was made. */
enum status shelf_keep(struct book *book, int64_t sample, const struct text *basis, const struct assessment *assessment,
                       int64_t utc_ns, struct message *message);

/* All samples of the book, or one (0: all), as `rundown sample list --json` gives them. */
enum status shelf_list(struct book *book, int64_t sample, struct text *json, struct message *message);

#endif
