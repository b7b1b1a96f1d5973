#include "teardown/ampacity.h"

#include "teardown/gauge.h"

#include <math.h>
#include <stddef.h>

enum { RATINGS = 7, SIZES = 15 };
static const double ratings_degc[RATINGS] = {60, 75, 80, 90, 105, 125, 200};

/* 33 CFR 183.425, Table 5. */
static const struct {
    double awg;
    short a[RATINGS];
} boats[SIZES] = {
    {18, {10, 10, 15, 20, 20, 25, 25}},        {16, {15, 15, 20, 25, 25, 30, 35}},
    {14, {20, 20, 25, 30, 35, 40, 45}},        {12, {25, 25, 35, 40, 45, 50, 55}},
    {10, {40, 40, 50, 55, 60, 70, 70}},        {8, {55, 65, 70, 70, 80, 90, 100}},
    {6, {80, 95, 100, 100, 120, 125, 135}},    {4, {105, 125, 130, 135, 160, 170, 180}},
    {3, {120, 145, 150, 155, 180, 195, 210}},  {2, {140, 170, 175, 180, 210, 225, 240}},
    {1, {165, 195, 210, 210, 245, 265, 280}},  {0, {195, 230, 245, 245, 285, 305, 325}},
    {-1, {225, 265, 285, 285, 330, 355, 370}}, {-2, {260, 310, 330, 330, 385, 410, 430}},
    {-3, {300, 360, 385, 385, 445, 475, 510}},
};

struct ampacity ampacity_boats(double area_mm2, double insulation_degc)
{
    struct ampacity found = {NAN, NAN, NAN};
    int column = -1;
    for (int k = 0; k < RATINGS; k++)
        if (ratings_degc[k] <= insulation_degc)
            column = k;
    if (column < 0)
        return found;
    found.insulation_degc = ratings_degc[column];
    for (size_t k = 0; k < SIZES; k++) {
        if (area_mm2 < awg_area_mm2(boats[k].awg) * 0.985) /* a printed size that is rounded is that size */
            break;
        found.awg = boats[k].awg;
        found.a = boats[k].a[column];
    }
    return found;
}

double ampacity_factor(double insulation_degc, double base_degc, double air_degc)
{
    return air_degc < insulation_degc ? sqrt((insulation_degc - air_degc) / (insulation_degc - base_degc)) : 0;
}
