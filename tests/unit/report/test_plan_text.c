#include "made.h"

#include "report/plan_text.h"

static void make(struct made *made, struct plan *plan)
{
    made_start(made, "[sample]\nname = Sample 33\n[claims]\nnominal voltage = 12.8 V\ncapacity = 60 Ah\nmass = 7 kg\nlength = 260 mm\n"
                     "peak current = 150 A for 10 s\ncycle life = 3000\n");
    struct rig rig = rig_default();
    *plan = plan_make(&made->assessment.label, &rig, NULL);
}

TEST(claims_stand_under_their_outlook)
{
    struct made made;
    struct plan plan;
    make(&made, &plan);
    struct text text = TEXT_EMPTY;
    plan_words(&plan, 100, &text);
    has(&text, "Sample 33: can this rig and these loads decide its claims?\n\ncan be decided\n  Nominal voltage  12.8 V\n");
    has(&text, "\nneeds another test\n  mass, length: weigh it"); /* said once for both */
    has(&text, "  cycle life: one discharge");
    CHECK(strstr(text_string(&text), " \n") == NULL); /* no blanks at the end of a line */
    CHECK(longest_line(text_string(&text)) <= 100);
    text_free(&text);
    plan_free(&plan);
    made_end(&made);
}

TEST(times_from_the_load_or_by_the_clock)
{
    struct made made;
    struct plan plan;
    make(&made, &plan);
    struct text text = TEXT_EMPTY;
    plan_words(&plan, 100, &text);
    has(&text, "from switching the base load on");
    has(&text, "\n  −1:00 ");
    has(&text, "\n  +0:00            Base load on");
    /* half of 60 Ah at 12 A */
    has(&text, "\n  +2:30 ± 7 min    Burst: ");
    text_free(&text);
    plan.start_clock_s = 23.5 * 3600;
    plan_words(&plan, 100, &text);
    has(&text, "clock times");
    has(&text, "\n  22:30 ");
    has(&text, "\n  02:00 ± 7 min    Burst: "); /* past midnight */
    text_free(&text);
    plan_free(&plan);
    made_end(&made);
}

TEST(cautions_close_it)
{
    struct made made;
    struct plan plan;
    make(&made, &plan);
    struct text text = TEXT_EMPTY;
    plan_words(&plan, 72, &text);
    has(&text, "\nCautions\n  • ");
    has(&text, "licensed");
    CHECK(longest_line(text_string(&text)) <= 72);
    text_free(&text);
    plan_free(&plan);
    made_end(&made);
}
