#include "check.h"

#include "numeric/agreement.h"

/* NIST Dataplot reference manual, command EN SCORE: laboratory 1.006 with U 0.009 against 1 scores 0.393,
 * 0.996 scores -0.262; the expanded uncertainty of the reference is not printed and is worked back from
 * the first. */
TEST(en_scores_of_the_dataplot_manual)
{
    double reference = sqrt(pow(0.006 / 0.393, 2) - pow(0.009, 2));
    CHECK_NEAR(agreement_en(1.006, 0.009, 1, reference), 0.393, 0.0005);
    CHECK_NEAR(agreement_en(0.996, 0.009, 1, reference), -0.262, 0.0005);
    CHECK(isnan(agreement_en(1, 0, 2, 0)));
}

static struct measure charge(double value, double gain, double own)
{
    struct measure measure = measure_of(value);
    measure_part(&measure,
                 (struct part){.cause = CAUSE_GAIN_CURRENT, .u = gain * value, .dof = INFINITY, .source = 7});
    measure_part(&measure, (struct part){.cause = CAUSE_NOISE, .u = own, .dof = INFINITY});
    return measure;
}

TEST(a_shared_gain_does_not_make_agreement)
{
    /* 60 and 62 Ah over one shunt of 5 %: the difference is not the shunt's. */
    struct measure a = charge(62, 0.05, 0.1), b = charge(60, 0.05, 0.1);
    double want = 2 / (1.959963984540054 * sqrt(0.01 + 0.01 + pow(0.05 * 2, 2)));
    CHECK_REL(agreement_of(&a, &b), want, 1e-6);
    CHECK(agreement_of(&a, &b) > 1);
    b.parts[0].source = 8; /* over two shunts it may be */
    CHECK(fabs(agreement_of(&a, &b)) < 1);
    struct measure unknown = measure_unknown("no tally");
    CHECK(isnan(agreement_of(&a, &unknown)));
    struct measure same = charge(62, 0.05, 0), other = charge(62, 0.05, 0);
    CHECK(isnan(agreement_of(&same, &other))); /* nothing is left that could differ */
}
