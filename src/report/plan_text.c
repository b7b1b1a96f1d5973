#include "report/plan_text.h"

#include "claims/claim_names.h"
#include "report/cautions.h"
#include "report/lines.h"

enum { STEP_INDENT = 19 };

static void say_prospect(const struct prospect *p, const struct claim_columns *columns, int width, struct text *text)
{
    lines_claim(p->claim->name, p->claim->as_stated, "", "", columns, text);
    text_add(text, "    ");
    lines_wrap(p->reason, 4, width, text);
    if (p->cheapest[0] != '\0') {
        text_add(text, "    cheapest change: ");
        lines_wrap(p->cheapest, 6, width, text);
    }
}

/* Claims that the same thing would settle, in one line. */
static void say_alike(const struct plan *plan, size_t first, int width, struct text *text)
{
    struct text line = TEXT_EMPTY;
    const char *reason = plan->prospects[first].reason;
    for (size_t k = 0; k < plan->count; k++) {
        const struct prospect *p = &plan->prospects[k];
        if (p->outlook != OUTLOOK_OTHER_TEST || strcmp(p->reason, reason) != 0)
            continue;
        if (k < first)
            return; /* said before */
        char name[80];
        claim_name_within(p->claim->name, name, sizeof name);
        text_addf(&line, "%s%s", line.length > 0 ? ", " : "", name);
    }
    text_addf(&line, ": %s", reason);
    text_add(text, "  ");
    lines_wrap(line.s, 4, width, text);
    text_free(&line);
}

static void say_outlook(const struct plan *plan, enum outlook outlook, const struct claim_columns *columns, int width,
                        struct text *text)
{
    bool first = true;
    for (size_t k = 0; k < plan->count; k++) {
        if (plan->prospects[k].outlook != outlook)
            continue;
        if (first)
            text_addf(text, "\n%s\n", outlook_name(outlook));
        first = false;
        if (outlook == OUTLOOK_OTHER_TEST)
            say_alike(plan, k, width, text);
        else
            say_prospect(&plan->prospects[k], columns, width, text);
    }
}

void plan_when(const struct plan *plan, const struct plan_step *step, char *buffer, size_t size)
{
    char within[24] = "";
    if (step->within_s >= 60)
        snprintf(within, sizeof within, " ± %.0f min", step->within_s / 60);
    if (isnan(plan->start_clock_s)) {
        long minutes = lround(fabs(step->at_s) / 60);
        snprintf(buffer, size, "%s%ld:%02ld%s", step->at_s < 0 ? "−" : "+", minutes / 60, minutes % 60, within);
    } else {
        char clock[16];
        plan_clock_print(plan->start_clock_s + step->at_s, clock, sizeof clock);
        snprintf(buffer, size, "%s%s", clock, within);
    }
}

static void say_protocol(const struct plan *plan, int width, struct text *text)
{
    text_addf(text, "\nProtocol (%s, hours and minutes)\n",
              isnan(plan->start_clock_s) ? "from switching the base load on" : "clock times");
    for (int k = 0; k < plan->step_count; k++) {
        const struct plan_step *step = &plan->steps[k];
        char when[48];
        plan_when(plan, step, when, sizeof when);
        text_addf(text, "  %s%*s", when, STEP_INDENT - 2 - (int)text_width(when), "");
        lines_wrap(step->what, STEP_INDENT, width, text);
        text_addf(text, "%*swrite down: ", STEP_INDENT, "");
        lines_wrap(step->write_down, STEP_INDENT + 12, width, text);
    }
}

void plan_words(const struct plan *plan, int width, struct text *text)
{
    struct claim_columns columns = {0};
    for (size_t k = 0; k < plan->count; k++)
        if (plan->prospects[k].outlook != OUTLOOK_OTHER_TEST)
            lines_make_room(plan->prospects[k].claim->name, plan->prospects[k].claim->as_stated, "", &columns);
    lines_fit(width, &columns);
    text_addf(text, "%s: can this rig and these loads decide its claims?\n", plan->sample);
    for (int k = OUTLOOK_DECIDES; k <= OUTLOOK_OTHER_TEST; k++)
        say_outlook(plan, (enum outlook)k, &columns, width, text);
    if (plan->warning[0] != '\0') {
        text_add(text, "\n");
        lines_wrap(plan->warning, 0, width, text);
    }
    say_protocol(plan, width, text);
    text_add(text, "\nCautions\n");
    for (const char *const *c = cautions; *c != NULL; c++) {
        text_add(text, "  • ");
        lines_wrap(*c, 4, width, text);
    }
}
