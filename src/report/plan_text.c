#include "report/plan_text.h"

#include "base/number.h"
#include "report/cautions.h"
#include "report/terminal.h"

#include <jansson.h>

static void say_prospect(const struct prospect *p, int width, struct text *text)
{
    text_addf(text, "\n  %s, %s: %s\n    ", p->claim->name, p->claim->as_stated, outlook_name(p->outlook));
    terminal_wrap(p->reason, 4, width, text);
    if (p->cheapest[0] != '\0') {
        text_add(text, "    cheapest change: ");
        terminal_wrap(p->cheapest, 6, width, text);
    }
}

/* `14:05 ± 8 min`, or `+2:26:00 ± 8 min` where no clock is given. */
static void say_when(const struct plan_step *step, double start_clock_s, struct text *text)
{
    double at_s = step->at_s + (isnan(start_clock_s) ? 0 : start_clock_s);
    char when[48];
    if (isnan(start_clock_s)) {
        long minutes = lround(fabs(at_s) / 60);
        snprintf(when, sizeof when, "%s%ld:%02ld", at_s < 0 ? "−" : "+", minutes / 60, minutes % 60);
    } else {
        long minutes = (lround(at_s / 60) % 1440 + 1440) % 1440;
        snprintf(when, sizeof when, "%02ld:%02ld", minutes / 60, minutes % 60);
    }
    if (step->within_s >= 60)
        text_addf(text, "%s ± %.0f min", when, step->within_s / 60);
    else
        text_add(text, when);
}

void plan_words(const struct plan *plan, double start_clock_s, int width, struct text *text)
{
    text_addf(text, "%s\nCan this rig and these loads decide the claims?\n", plan->sample);
    for (size_t k = 0; k < plan->count; k++)
        say_prospect(&plan->prospects[k], width, text);
    if (plan->warning[0] != '\0') {
        text_add(text, "\n  ");
        terminal_wrap(plan->warning, 2, width, text);
    }
    text_addf(text, "\nProtocol (%s; hours and minutes)\n",
              isnan(start_clock_s) ? "times from switching the base load on" : "clock times");
    for (int k = 0; k < plan->step_count; k++) {
        const struct plan_step *step = &plan->steps[k];
        text_addf(text, "\n  %2d  ", k + 1);
        say_when(step, start_clock_s, text);
        text_add(text, "\n      ");
        terminal_wrap(step->what, 6, width, text);
        text_add(text, "      write down: ");
        terminal_wrap(step->write_down, 8, width, text);
    }
    text_add(text, "\nCautions\n");
    for (const char *const *c = cautions; *c != NULL; c++) {
        text_add(text, "  • ");
        terminal_wrap(*c, 4, width, text);
    }
}

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *prospect_json(const struct prospect *p)
{
    return json_pack("{s:s, s:s, s:s, s:o, s:o, s:s, s:s}", "claim", p->claim->slug, "name", p->claim->name, "outlook",
                     outlook_name(p->outlook), "stated", number(p->claim->stated), "half_width", number(p->half_width),
                     "reason", p->reason, "cheapest_change", p->cheapest);
}

void plan_json(const struct plan *plan, struct text *text)
{
    json_t *prospects = json_array(), *steps = json_array();
    for (size_t k = 0; k < plan->count; k++)
        json_array_append_new(prospects, prospect_json(&plan->prospects[k]));
    for (int k = 0; k < plan->step_count; k++)
        json_array_append_new(steps, json_pack("{s:o, s:o, s:s, s:s}", "at_s", number(plan->steps[k].at_s), "within_s",
                                               number(plan->steps[k].within_s), "what", plan->steps[k].what,
                                               "write_down", plan->steps[k].write_down));
    json_t *o = json_pack("{s:s, s:i, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "program", "rundown", "form", 1,
                          "sample", plan->sample, "base_w", number(plan->base_w), "base_a", number(plan->base_a),
                          "burst_a", number(plan->burst_a), "burst_s", number(plan->burst_s), "burst_at_ah",
                          number(plan->burst_at_ah), "duration_s", number(plan->duration_s), "claims", prospects,
                          "protocol", steps, "warning", plan->warning);
    char *dump = o != NULL ? json_dumps(o, JSON_INDENT(1) | JSON_REAL_PRECISION(9)) : NULL;
    text_add(text, dump != NULL ? dump : "null");
    text_add(text, "\n");
    free(dump);
    json_decref(o);
}
