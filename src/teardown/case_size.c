#include "teardown/case_size.h"

#include <math.h>
#include <string.h>

const struct case_group case_groups[] = {
    {"U1", "BCI", 197, 132, 186, true},   {"22NF", "BCI", 240, 140, 227, true}, {"24", "BCI", 260, 173, 225, false},
    {"27", "BCI", 306, 173, 225, false},  {"31", "BCI", 330, 173, 240, false},  {"34", "BCI", 260, 173, 200, false},
    {"35", "BCI", 230, 175, 225, false},  {"65", "BCI", 306, 190, 192, false},  {"GC2", "BCI", 264, 183, 270, true},
    {"4D", "BCI", 527, 222, 250, true},   {"8D", "BCI", 527, 283, 250, true},   {"L1", "EN", 207, 175, 190, true},
    {"L2", "EN", 242, 175, 190, true},    {"L3", "EN", 278, 175, 190, true},    {"L4", "EN", 315, 175, 190, true},
    {"L5", "EN", 353, 175, 190, true},    {"LB1", "EN", 207, 175, 175, true},   {"LB2", "EN", 242, 175, 175, true},
    {"LB3", "EN", 278, 175, 175, true},   {"LB4", "EN", 315, 175, 175, true},   {"LB5", "EN", 353, 175, 175, true},
};
const size_t case_group_count = sizeof case_groups / sizeof case_groups[0];

static const double bench_mm = 2; /* what a tape on a bulged case may be off; our convention */
static const double much_mm = 15; /* a tray of that group then holds it with spacers only; our convention */

const struct case_group *case_group_named(struct span name)
{
    struct span rest = span_trim(name), word = {0}, next;
    for (next = span_take_word(&rest); next.n > 0; next = span_take_word(&rest)) {
        if (!span_is_word(next, "group") && !span_is_word(next, "BCI") && !span_is_word(next, "EN") &&
            !span_is_word(next, "size")) {
            if (word.n > 0)
                return NULL;
            word = next;
        }
    }
    for (size_t k = 0; k < case_group_count; k++)
        if (span_is_word(word, case_groups[k].name))
            return &case_groups[k];
    return NULL;
}

struct case_match case_size_hold(const struct case_group *group, double length_mm, double width_mm, double height_mm,
                                 double slack_mm)
{
    const double sides[3] = {fmax(length_mm, width_mm), fmin(length_mm, width_mm), height_mm};
    const double outline[3] = {group->length_mm, group->width_mm, group->height_mm};
    struct case_match match = {.group = group, .fit = CASE_FITS};
    for (int k = 0; k < 3; k++) {
        double over = round(1e6 * (sides[k] - outline[k])) / 1e6; /* no digits of a binary fraction */
        if (isnan(over))
            continue;
        match.over_mm = fmax(match.over_mm, over);
        match.distance_mm = hypot(match.distance_mm, over);
        if (over > slack_mm)
            match.fit = CASE_TOO_LARGE;
        else if (over < -much_mm && match.fit == CASE_FITS)
            match.fit = CASE_MUCH_SMALLER;
    }
    return match;
}

size_t case_size_find(double length_mm, double width_mm, double height_mm, struct case_match *ret_matches, size_t room)
{
    size_t count = 0;
    for (size_t k = 0; k < case_group_count; k++) {
        struct case_match match = case_size_hold(&case_groups[k], length_mm, width_mm, height_mm, bench_mm);
        size_t at = count;
        while (at > 0 && (match.fit == CASE_FITS) >= (ret_matches[at - 1].fit == CASE_FITS) &&
               ((match.fit == CASE_FITS) > (ret_matches[at - 1].fit == CASE_FITS) ||
                match.distance_mm < ret_matches[at - 1].distance_mm))
            at--;
        if (at == room)
            continue;
        size_t kept = count < room ? count : room - 1;
        memmove(&ret_matches[at + 1], &ret_matches[at], (kept - at) * sizeof *ret_matches);
        ret_matches[at] = match;
        count = kept + 1;
    }
    return count;
}
