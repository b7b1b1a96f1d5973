/* Parts of the sheet that have a file of their own. Each sets what there is to say and nothing where there is none. */
#ifndef RUNDOWN_REPORT_SHEET_PARTS_H
#define RUNDOWN_REPORT_SHEET_PARTS_H

#include "report/listing.h"
#include "report/publishing.h"
#include "report/signs.h"

/* What is set, for whom, and on which paper. */
struct sheet {
    const struct assessment *assessment;
    const struct publishing *publishing;
    struct signs signs;
};

#define SHEET_COLUMN_GAP 22.0 /* points */

/* Title, how the sample was had, what does not go together, the summary, the tester's opinion. */
void sheet_head(struct paper *paper, const struct sheet *sheet);
/* The ladder, which leaves `below` points on its page; and what stands there. */
void sheet_ladder(struct paper *paper, const struct sheet *sheet, double below);
void sheet_below_ladder(struct paper *paper, const struct sheet *sheet);

/* A discharge: its curve, at most so high; how it went beside what it delivered on the way; how far it can be trusted. */
void sheet_curve(struct paper *paper, const struct sheet *sheet, size_t record, double height);
void sheet_discharge(struct paper *paper, const struct sheet *sheet, size_t record);
void sheet_doubts(struct paper *paper, const struct sheet *sheet, size_t record);
/* All but the first, and what they say together. */
void sheet_more_discharges(struct paper *paper, const struct sheet *sheet, const size_t *records, size_t count);

void sheet_current(struct paper *paper, const struct sheet *sheet);
void sheet_charge(struct paper *paper, const struct sheet *sheet);
void sheet_protections(struct paper *paper, const struct sheet *sheet);
void sheet_other(struct paper *paper, const struct sheet *sheet);
void sheet_construction(struct paper *paper, const struct sheet *sheet);
void sheet_conditions(struct paper *paper, const struct sheet *sheet);
void sheet_untested(struct paper *paper, const struct sheet *sheet);
void sheet_tail(struct paper *paper, const struct sheet *sheet);

/* Rows as pairs, or as a table; nothing when there are none. */
void sheet_pairs(struct paper *paper, const struct listing *rows);
void sheet_table(struct paper *paper, const struct paper_column *columns, const struct listing *rows);

#endif
