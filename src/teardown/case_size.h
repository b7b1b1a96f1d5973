/* Case size: the outside of a sample against the groups that trays and boxes are made for.
 *
 * BCI groups (United States) name the largest outline and how the terminals lie, not a capacity; the outlines of 24, 27,
 * 31, 34, 35 and 65 were read in a dealer's table, those of U1, 22NF, GC2, 4D and 8D are from memory. The boxes of EN
 * 50342-2 (Europe) are from memory. A case may be a little smaller than its group; what is larger does not fit a tray. */
#ifndef RUNDOWN_TEARDOWN_CASE_SIZE_H
#define RUNDOWN_TEARDOWN_CASE_SIZE_H

#include "base/text.h"

struct case_group {
    const char *name;   /* "31", "L5" */
    const char *family; /* "BCI", "EN" */
    double length_mm, width_mm, height_mm; /* over the terminals */
    bool from_memory;
};
extern const struct case_group case_groups[];
extern const size_t case_group_count;

/* A group by name, `31`, `group 31`, `BCI 31`, `L5`; NULL for none. */
const struct case_group *case_group_named(struct span name);

enum case_fit { CASE_FITS, CASE_TOO_LARGE, CASE_MUCH_SMALLER };
struct case_match {
    const struct case_group *group;
    enum case_fit fit;
    double over_mm;      /* by how much the worst side is too large; 0 when none is */
    double distance_mm;  /* root of the sum of squared differences: nearest first */
};
/* The groups that a case of that size fits, then those that it is near; nearest first. Length is the longest side that
 * lies flat. NaN height: not measured, not compared. Returns how many are filled. */
size_t case_size_find(double length_mm, double width_mm, double height_mm, struct case_match *ret_matches, size_t room);
/* One group. `slack_mm` is what a measurement of the bench may be off. */
struct case_match case_size_hold(const struct case_group *group, double length_mm, double width_mm, double height_mm,
                                 double slack_mm);

#endif
