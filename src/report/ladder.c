/* The claims ladder. A forest plot turned to claims: rows with the claim at the left, its rung in the middle,
 * the verdict in words at the right. On a narrow figure the three stand one below the other. Claims that
 * nothing was done about close it, a line each. */
#include "report/figures.h"

#include "base/memory.h"
#include "draw/layout.h"
#include "report/rung.h"
#include "report/words.h"

#define NARROW 560.0 /* user units; below, a row is stacked */
#define HEAD 44.0    /* room above the first row */
#define TICKS 30.0   /* room for the numbers of the scale */
#define FOOT 6.0
#define ROW_TOP 17.0 /* from the top of a row to its first baseline */
#define ROW_PAD 5.0
#define LEAST_ROW 41.0
#define WORD_GAP 10.0

enum { MOST_LINES = 12 };

static const struct lettering name_letters = {.role = ROLE_LABEL, .strong = true};
static const struct lettering soft_letters = {.role = ROLE_SMALL, .ink = INK_SOFT};

/* The three columns; stacked, they all are the whole width. */
struct frame {
    bool stacked;
    double width, name_width, verdict, verdict_width;
    struct axis axis;
};

static struct frame frame_of(const struct assessment *assessment, double width)
{
    struct frame frame = {.stacked = width < NARROW, .width = width};
    if (frame.stacked) {
        frame.name_width = frame.verdict_width = width;
        frame.axis = axis_of(assessment, 20, width - 20);
    } else {
        frame.name_width = 0.22 * width;
        frame.verdict = 0.615 * width;
        frame.verdict_width = width - frame.verdict;
        frame.axis = axis_of(assessment, 0.242 * width, 0.59 * width);
    }
    return frame;
}

static struct lettering verdict_letters(enum verdict verdict)
{
    struct lettering letters = {.role = ROLE_LABEL, .strong = true};
    switch (verdict) {
    case VERDICT_MET: letters.ink = INK_FIRST; break;
    case VERDICT_NOT_MET: letters.ink = INK_SECOND; break;
    case VERDICT_TOO_CLOSE: letters.ink = INK_MAIN; break;
    default: letters.ink = INK_SOFT, letters.italic = true;
    }
    return letters;
}

/* Under the verdict: the reason and what would decide it. Of a claim too close to call one says it all. */
static void reason_of(const struct decision *d, char *buffer, size_t size)
{
    bool both = d->reason[0] != '\0' && d->would_decide[0] != '\0', close = both && d->verdict == VERDICT_TOO_CLOSE;
    const char *reason = close && !d->conditions_open ? "" : d->reason;
    const char *wanted = close && d->conditions_open ? "" : d->would_decide;
    snprintf(buffer, size, "%s%s%s", reason, reason[0] != '\0' && wanted[0] != '\0' ? "; wanted: " : "", wanted);
}

static void stated_of(const struct decision *d, char *buffer, size_t size)
{
    snprintf(buffer, size, "%s%s%s", d->claim->as_stated, d->claim->where[0] != '\0' ? " · " : "", d->claim->where);
}

/* Words in lines; `figure` NULL measures only. Returns the baseline below the last line. */
static double set_lines(struct figure *figure, double x, double y, struct lettering letters, double width,
                        const char *words)
{
    if (words[0] == '\0')
        return y;
    size_t lines = layout_text(figure, x, y, letters, width, MOST_LINES, words);
    return y + (double)lines * layout_leading(letters.role);
}

/* Name and statement from baseline y on. */
static double set_claim(struct figure *figure, const struct frame *frame, const struct decision *d, double y)
{
    char stated[256];
    stated_of(d, stated, sizeof stated);
    y = set_lines(figure, 0, y, name_letters, frame->name_width, d->claim->name);
    return set_lines(figure, 0, y, soft_letters, frame->name_width, stated);
}

static double set_verdict(struct figure *figure, const struct frame *frame, const struct decision *d, double y)
{
    struct lettering letters = verdict_letters(d->verdict);
    char p[32], reason[sizeof d->reason + sizeof d->would_decide + 16];
    words_probability(d, p, sizeof p);
    reason_of(d, reason, sizeof reason);
    if (figure != NULL) {
        double x = frame->verdict + layout_measure(letters, verdict_name(d->verdict)).width + WORD_GAP;
        figure_text(figure, frame->verdict, y, letters, verdict_name(d->verdict));
        figure_text(figure, x, y, soft_letters, p);
    }
    y += layout_leading(ROLE_LABEL);
    return set_lines(figure, frame->verdict, y, soft_letters, frame->verdict_width, reason);
}

/* One row with its top at `top`; returns its height. Measures only when `figure` is NULL. */
static double set_row(struct figure *figure, const struct frame *frame, const struct decision *d, double top)
{
    double first = top + ROW_TOP, below;
    if (frame->stacked) {
        double y = set_claim(figure, frame, d, first) + 2;
        if (figure != NULL) {
            axis_grid(figure, &frame->axis, y - 12, y + rung_depth(&frame->axis, d));
            figure_line(figure, frame->axis.rail, y - 14, frame->axis.rail, y + rung_depth(&frame->axis, d),
                        (struct stroke){INK_MAIN, 2.2, LINE_SOLID});
            rung_draw(figure, &frame->axis, d, y);
        }
        below = set_verdict(figure, frame, d, y + rung_depth(&frame->axis, d) + 16) + 4;
    } else {
        double rung = first - 4;
        below = fmax(set_claim(figure, frame, d, first), set_verdict(figure, frame, d, first)) - ROW_TOP + 6;
        below = fmax(below, rung + rung_depth(&frame->axis, d));
        if (figure != NULL)
            rung_draw(figure, &frame->axis, d, rung);
    }
    return fmax(below + ROW_PAD - top, LEAST_ROW);
}

/* Name and statement of a claim that nothing was done about, on one line if they fit left of its place. */
static double set_untested_claim(struct figure *figure, const struct frame *frame, const struct decision *d, double y)
{
    char stated[256];
    double width = layout_measure(name_letters, d->claim->name).width + WORD_GAP;
    double room = frame->stacked ? frame->width : frame->axis.rail - 48;
    stated_of(d, stated, sizeof stated);
    if (width + layout_measure(soft_letters, stated).width > room)
        return set_claim(figure, frame, d, y);
    if (figure != NULL) {
        figure_text(figure, 0, y, name_letters, d->claim->name);
        figure_text(figure, width, y, soft_letters, stated);
    }
    return y + layout_leading(ROLE_LABEL);
}

static double set_untested(struct figure *figure, const struct frame *frame, const struct decision *d, double top)
{
    struct lettering letters = verdict_letters(d->verdict);
    double y = top + ROW_TOP, below = set_untested_claim(figure, frame, d, y);
    double x = frame->verdict, said = layout_measure(letters, verdict_name(d->verdict)).width + WORD_GAP;
    if (frame->stacked)
        y = below;
    bool one_line = said + layout_measure(soft_letters, d->reason).width <= frame->verdict_width;
    if (figure != NULL) {
        figure_text(figure, x, y, letters, verdict_name(d->verdict));
        if (!frame->stacked)
            rung_draw(figure, &frame->axis, d, y - 4);
    }
    if (one_line && figure != NULL)
        figure_text(figure, x + said, y, soft_letters, d->reason);
    y += layout_leading(ROLE_LABEL);
    if (!one_line)
        y = set_lines(figure, x, y, soft_letters, frame->verdict_width, d->reason);
    return fmax(below, y) - ROW_TOP + (frame->stacked ? 12 : 2) - top;
}

static double set_one(struct figure *figure, const struct frame *frame, const struct decision *d, double top)
{
    if (figure != NULL) {
        char said[500];
        snprintf(said, sizeof said, "%s, %s: %s%s%s", d->claim->name, d->claim->as_stated, verdict_name(d->verdict),
                 d->found[0] != '\0' ? "; " : "", d->found);
        figure_group(figure, said, d->reason);
    }
    double height = d->verdict == VERDICT_NOT_TESTED ? set_untested(figure, frame, d, top)
                                                     : set_row(figure, frame, d, top);
    if (figure != NULL)
        figure_group_end(figure);
    return height;
}

/* The order of the rows: as on the label, those that were not tested last. */
static size_t order_of(const struct assessment *assessment, const struct decision **ret_order)
{
    size_t count = 0, tested;
    for (size_t k = 0; k < assessment->decision_count; k++)
        if (assessment->decisions[k].verdict != VERDICT_NOT_TESTED)
            ret_order[count++] = &assessment->decisions[k];
    tested = count;
    for (size_t k = 0; k < assessment->decision_count; k++)
        if (assessment->decisions[k].verdict == VERDICT_NOT_TESTED)
            ret_order[count++] = &assessment->decisions[k];
    return tested;
}

/* Rows [from, end) of the order; those from `tested` on are the untested ones. */
struct stretch {
    const struct decision **order;
    double *heights; /* of all rows */
    size_t from, tested, end, count;
};

static struct stretch stretch_of(const struct assessment *assessment, const struct frame *frame)
{
    size_t count = assessment->decision_count;
    struct stretch rows = {.count = count,
                           .end = count,
                           .order = memory_get((count + 1) * sizeof *rows.order),
                           .heights = memory_get((count + 1) * sizeof *rows.heights)};
    rows.tested = order_of(assessment, rows.order);
    for (size_t k = 0; k < count; k++)
        rows.heights[k] = set_one(NULL, frame, rows.order[k], 0);
    return rows;
}

static void stretch_free(struct stretch *rows)
{
    free(rows->order);
    free(rows->heights);
}

/* Height of the figure that holds the rows. */
static double height_of(const struct stretch *rows)
{
    double height = FOOT + (rows->from < rows->tested ? HEAD + TICKS : 0);
    for (size_t k = rows->from; k < rows->end; k++)
        height += rows->heights[k];
    return height;
}

static void draw_rows(struct figure *figure, const struct frame *frame, const struct stretch *rows)
{
    const struct stroke rail = {INK_MAIN, 2.2, LINE_SOLID};
    size_t split = rows->tested < rows->end ? rows->tested : rows->end;
    double top = 0, first_end = HEAD;
    for (size_t k = rows->from; k < split; k++)
        first_end += rows->heights[k];
    if (rows->from < split) {
        top = HEAD;
        axis_head(figure, &frame->axis, 18);
        axis_ticks(figure, &frame->axis, first_end + 18);
        if (!frame->stacked)
            axis_grid(figure, &frame->axis, HEAD - 12, first_end);
    }
    if (!frame->stacked)
        figure_line(figure, frame->axis.rail, top > 0 ? HEAD - 18 : 4, frame->axis.rail, figure->height - 4, rail);
    for (size_t k = rows->from; k < rows->end; k++) {
        if (k == split && top > 0)
            top += TICKS;
        top += set_one(figure, frame, rows->order[k], top);
    }
}

size_t ladder_part(const struct assessment *assessment, double width, size_t from, double most_height,
                   struct figure *ret_figure)
{
    struct frame frame = frame_of(assessment, width);
    struct stretch rows = stretch_of(assessment, &frame);
    rows.from = from;
    while (rows.end > from + 1 && height_of(&rows) > most_height)
        rows.end--;
    figure_init(ret_figure, width, height_of(&rows), "Claims ladder",
                "Each claim of the label against what was measured, with 95 % intervals; right is better than "
                "claimed.");
    draw_rows(ret_figure, &frame, &rows);
    stretch_free(&rows);
    return rows.end;
}

void ladder_figure(const struct assessment *assessment, double width, struct figure *ret_figure)
{
    ladder_part(assessment, width, 0, INFINITY, ret_figure);
}

double ladder_height(const struct assessment *assessment, double width)
{
    struct frame frame = frame_of(assessment, width);
    struct stretch rows = stretch_of(assessment, &frame);
    double height = height_of(&rows);
    stretch_free(&rows);
    return height;
}
