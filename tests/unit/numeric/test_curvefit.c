#include "check.h"

#include "numeric/curvefit.h"
#include "numeric/random.h"

enum { N = 60 };
struct record {
    double t[N], y[N];
};

/* A voltage that recovers: b0 - b1 exp(-t / b2). */
static void relaxation(const double *b, const void *context, double *ret)
{
    const struct record *record = context;
    for (int k = 0; k < N; k++)
        ret[k] = b[0] - b[1] * exp(-record->t[k] / b[2]) - record->y[k];
}

static void relaxation_derivatives(const double *b, const void *context, double *ret)
{
    const struct record *record = context;
    for (int k = 0; k < N; k++) {
        double e = exp(-record->t[k] / b[2]);
        ret[3 * k] = 1;
        ret[3 * k + 1] = -e;
        ret[3 * k + 2] = -b[1] * e * record->t[k] / (b[2] * b[2]);
    }
}

static struct record make_record(uint32_t seed, double noise)
{
    struct record record;
    struct random *random = random_new(seed);
    for (int k = 0; k < N; k++) {
        record.t[k] = 1.3 * k + random_uniform(random);
        record.y[k] = 13.1 - 0.42 * exp(-record.t[k] / 17) + noise * random_normal(random);
    }
    random_free(random);
    return record;
}

static const double start[] = {12, 1, 5};

TEST(derivatives_given_or_not)
{
    struct record record = make_record(51, 0.003);
    struct curvefit_task task = {relaxation, NULL, &record, N, 3, false};
    struct curvefit by_differences, given;
    CHECK(curvefit(&task, start, 200, &by_differences) == ANSWER_OK);
    task.derivatives = relaxation_derivatives;
    CHECK(curvefit(&task, start, 200, &given) == ANSWER_OK);
    for (int j = 0; j < 3; j++) {
        CHECK_REL(by_differences.parameters[j], given.parameters[j], 1e-8);
        CHECK_REL(by_differences.u[j], given.u[j], 1e-7);
    }
    CHECK_NEAR(given.parameters[2], 17, 4 * given.u[2]);
    CHECK_REL(given.residual_sd, 0.003, 0.3);
    CHECK(given.dof == N - 3);
    task.absolute = true; /* residuals in volts taken as if over known uncertainties of 1 */
    struct curvefit absolute;
    CHECK(curvefit(&task, start, 200, &absolute) == ANSWER_OK);
    CHECK_REL(absolute.u[2] * given.residual_sd, given.u[2], 1e-9);
}

TEST(curves_through_every_reading)
{
    for (uint32_t seed = 0; seed < 40; seed++) {
        struct record record = make_record(seed, 0);
        struct curvefit_task task = {relaxation, NULL, &record, N, 3, false};
        struct curvefit fit;
        CHECK(curvefit(&task, start, 200, &fit) == ANSWER_OK);
        CHECK_REL(fit.parameters[1], 0.42, 1e-9);
        CHECK_REL(fit.parameters[2], 17, 1e-9);
    }
}

TEST(intervals_hold_the_truth)
{
    int held = 0, trials = 1000;
    for (int trial = 0; trial < trials; trial++) {
        struct record record = make_record(1000 + (uint32_t)trial, 0.003);
        struct curvefit_task task = {relaxation, relaxation_derivatives, &record, N, 3, false};
        struct curvefit fit;
        if (curvefit(&task, start, 200, &fit) == ANSWER_OK)
            held += fabs(fit.parameters[2] - 17) <= 2.0 * fit.u[2]; /* t of 57 degrees: 2.00 */
    }
    CHECK(held >= 0.93 * trials && held <= 0.97 * trials);
}

TEST(not_converged_is_an_answer)
{
    struct record record = make_record(52, 0.003);
    struct curvefit_task task = {relaxation, NULL, &record, N, 3, false};
    struct curvefit fit;
    CHECK(curvefit(&task, start, 1, &fit) == ANSWER_NOT_CONVERGED);
    CHECK(isfinite(fit.parameters[0]) && isnan(fit.u[0]) && fit.iterations == 1);
}

/* Only the product of the first two can be told. */
static void redundant(const double *b, const void *context, double *ret)
{
    const struct record *record = context;
    for (int k = 0; k < N; k++)
        ret[k] = b[0] * b[1] * record->t[k] - record->y[k];
}

static void domain(const double *b, const void *context, double *ret)
{
    const struct record *record = context;
    for (int k = 0; k < N; k++)
        ret[k] = record->y[k] - b[0] * log(b[1]) - b[2] * record->t[k];
}

TEST(no_number_from_nothing)
{
    struct record record = make_record(53, 0.003);
    struct curvefit fit = {.chi2 = 7};
    struct curvefit_task task = {redundant, NULL, &record, N, 2, false};
    CHECK(curvefit(&task, start, 200, &fit) == ANSWER_DEGENERATE);
    task = (struct curvefit_task){relaxation, NULL, &record, 2, 3, false};
    CHECK(curvefit(&task, start, 200, &fit) == ANSWER_TOO_FEW);
    double outside[] = {1, -1, 1};
    task = (struct curvefit_task){domain, NULL, &record, N, 3, false};
    CHECK(curvefit(&task, outside, 200, &fit) == ANSWER_NOT_FINITE);
    CHECK(fit.chi2 == 7);
}

/* A model without value on one side of its minimum: the search must turn back, not fail. */
static void root_model(const double *b, const void *context, double *ret)
{
    const struct record *record = context;
    for (int k = 0; k < N; k++)
        ret[k] = b[0] * sqrt(b[1] - record->t[k]) - sqrt(100 - record->t[k]);
}

TEST(search_turns_back_from_where_the_model_has_no_value)
{
    struct record record = make_record(54, 0);
    struct curvefit_task task = {root_model, NULL, &record, N, 2, false};
    double far[] = {0.2, 300};
    struct curvefit fit;
    CHECK(curvefit(&task, far, 500, &fit) == ANSWER_OK);
    CHECK_REL(fit.parameters[1], 100, 1e-7);
}
