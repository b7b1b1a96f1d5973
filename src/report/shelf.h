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

/* A digest: in short. And the same with the interval of every quantity. */
json_t *shelf_json(const struct assessment *assessment);
json_t *shelf_entry_json(const struct assessment *assessment, const struct shelf_entry *entry);

/* The method that digests of the book are made with. */
extern const char shelf_method[];

/* Keeps the digest of a sample in the book; `basis` was asked before the assessment was made. */
enum status shelf_keep(struct book *book, int64_t sample, const struct text *basis, const struct assessment *assessment,
                       int64_t utc_ns, struct message *message);
/* That it could not be assessed, and why: {"fault": …}. */
enum status shelf_keep_fault(struct book *book, int64_t sample, const struct text *basis, const struct message *fault,
                             int64_t utc_ns, struct message *message);
/* The samples whose digest is no longer true, or was never made; free() them. */
enum status shelf_stale(struct book *book, int64_t **ret_samples, size_t *ret_count, struct message *message);
/* Assesses those, and keeps what was found. *ret_made counts them. */
enum status shelf_refresh(struct book *book, int64_t utc_ns, void (*progress)(void *context, double share), void *context,
                          size_t *ret_made, struct message *message);

/* All samples of the book, or one (0: all), as `rundown sample list --json` gives them. *ret_stale: so many digests
 * are not true, or were never made. */
enum status shelf_list(struct book *book, int64_t sample, struct text *json, size_t *ret_stale, struct message *message);

#endif
