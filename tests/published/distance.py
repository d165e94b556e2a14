"""How far it is: geodesics on the ellipsoid, and roads over them."""

from functools import partial

from service.estimating.logistics import geodesic_m
from tests.published.demo import book
from tests.published.row import MILE, Between, Disagreement, Row, published, remembered

_TESTS = "GeographicLib for Python, geographiclib/test/test_geodesic.py"

# The first columns of `testcases`, twenty random lines: from, to, and s12 in meters.
_RANDOM = (
    (35.60777, -139.44815, -11.17491, -69.95921, 8935244.5604818305),
    (55.52454, 106.05087, 77.03196, 197.18234, 4105086.1713924406),
    (-21.97856, 142.59065, 41.84138, 98.56635, 8394328.894657671),
    (-66.99028, 112.2363, -12.70631, 285.90344, 11150344.2312080241),
    (-17.42761, 173.34268, -15.84784, 5.93557, 16076603.1631180673),
    (32.84994, 48.28919, -56.28556, 202.29132, 16727068.9438164461),
    (6.96833, 52.74123, -7.39675, 206.17291, 17102477.2496958388),
    (-50.56724, -16.30485, -33.56571, -94.97412, 6455670.5118668696),
    (-58.93002, -8.90775, -8.91104, 133.13503, 11756066.0219864627),
    (-68.82867, -74.28391, -50.63005, -8.36685, 3956936.926063544),
    (-10.62672, -32.0898, 5.883, -134.31681, 11470869.3864563009),
    (-21.76221, 166.90563, 48.72884, 213.97627, 9098627.3986554915),
    (-19.79938, -174.47484, -11.99349, -154.35109, 2319004.8601169389),
    (-11.95887, -116.94513, 4.57352, 7.16501, 13834722.5801401374),
    (-87.85331, 85.66836, 66.48646, 16.09921, 17286615.3147144645),
    (1.74708, 128.32011, -11.16617, 11.87109, 12942901.1241347408),
    (-25.72959, -144.90758, -57.70581, -269.17879, 9413446.7452453107),
    (-41.22777, 122.32875, -7.57291, 130.37946, 3812686.035106021),
    (11.01307, 138.25278, 6.62726, 247.05981, 11911190.819018408),
    (-29.47124, 95.14681, -27.46601, -69.15955, 13487015.8381145492),
)

GEODESICS = (
    *(
        published(
            id=f"random line {number}",
            source=f"{_TESTS}, testcases, line {number}",
            expected=line[-1],
            tolerance=1e-7,
            unit="m",
            answer=partial(geodesic_m, *line[:-1]),
        )
        for number, line in enumerate(_RANDOM, start=1)
    ),
    *(
        published(
            id=what,
            source=f"{_TESTS}, {test}: {metres:,} m",
            expected=metres,
            tolerance=tolerance,
            unit="m",
            answer=partial(geodesic_m, *line),
        )
        for what, test, line, metres, tolerance in (
            ("New York to Paris", "GeodSolve0", (40.6, -73.8, 49.01666667, 2.55), 5853226, 0.5),
            (
                "a few centimeters",
                "GeodSolve4",
                (36.493349428792, 0, 36.49334942879201, 0.0000008),
                0.072,
                0.5e-3,
            ),
            (
                "near the antipodes, 88.202499451857",
                "GeodSolve6",
                (88.202499451857, 0, -88.202499451857, 179.981022032992859592),
                20003898.214,
                0.5e-3,
            ),
            (
                "near the antipodes, 89.333123580033",
                "GeodSolve6",
                (89.333123580033, 0, -89.333123580032997687, 179.99295812360148422),
                20003926.881,
                0.5e-3,
            ),
            (
                "across the date line, 539 to 181 degrees",
                "GeodSolve29",
                (0, 539, 0, 181),
                222639,
                0.5,
            ),
            ("along the equator, 179 degrees", "GeodSolve33", (0, 0, 0, 179), 19926189, 0.5),
            ("along the equator, 179.5 degrees", "GeodSolve33", (0, 0, 0, 179.5), 19980862, 0.5),
            ("over the pole to the antipode", "GeodSolve33", (0, 0, 0, 180), 20003931, 0.5),
            ("to a degree off the antipode", "GeodSolve33", (0, 0, 1, 180), 19893357, 0.5),
        )
    ),
    published(
        id="near-antipodal, New Zealand to Spain",
        source="GeographicLib, example of the JavaScript package: 19959679.267 m",
        expected=19_959_679.267,
        tolerance=0.001,
        unit="m",
        answer=partial(geodesic_m, -41.32, 174.81, 40.96, -5.50),
    ),
)

ROADS = (
    published(
        id="road over crow-fly",
        source="Wikibooks, 'Circuity': about 1.2 (Newell 1980), more for short trips, to 1.4",
        expected=Between(low=1.2, high=1.4),
        answer=lambda: book().travel.road_factor,
    ),
    remembered(
        id="road over crow-fly, United States",
        source="Ballou, Rahardja & Sakai 2002, Transportation Research A 36: 1.20",
        expected=1.20,
        tolerance=0.02,
        answer=lambda: book().travel.road_factor,
        disagrees=Disagreement(
            by=0.083, because="theirs are trips between cities; in town roads wind more"
        ),
    ),
    remembered(
        id="road over crow-fly, to hospitals",
        source="Boscoe, Henry & Zdeb 2012, Professional Geographer 64: 1.417",
        expected=1.417,
        tolerance=0.02,
        answer=lambda: book().travel.road_factor,
        disagrees=Disagreement(
            by=-0.083, because="a mean of mostly rural ways; the shop's are in a city's grid"
        ),
    ),
)

MILES = (
    published(
        id="a mile in the demo shop's car",
        source="IRS Notice 2026-10: 72.5 cents a business mile",
        expected=0.725,
        tolerance=0.0005,
        unit="$",
        answer=lambda: float(book().travel.price_per_km) * MILE / 1000,
    ),
)

ROWS: tuple[Row, ...] = (*GEODESICS, *ROADS, *MILES)
