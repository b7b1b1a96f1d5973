-- Trapezoid sums of charge and energy with SQLite, in memory.
CREATE TABLE log (t REAL, v REAL, a REAL, degc REAL);
.mode csv
.import --skip 1 /dev/stdin log
.mode list
SELECT printf('%.6f %.6f', sum(dt * (a + a0)) / 7200, sum(dt * (v * a + p0)) / 7200) FROM (
    SELECT v, a, t - lag(t) OVER w AS dt, lag(a) OVER w AS a0, lag(v * a) OVER w AS p0
    FROM log WINDOW w AS (ORDER BY rowid));
