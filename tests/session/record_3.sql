-- Written by the program of record version 3: four frames, a raw, two setups, an overrule.
BEGIN TRANSACTION;
CREATE TABLE crops (
    frame INTEGER PRIMARY KEY REFERENCES frames (id),
    jpeg BLOB NOT NULL
);
INSERT INTO "crops" VALUES(1,X'FFD82063726F70');
INSERT INTO "crops" VALUES(2,X'FFD82063726F70');
INSERT INTO "crops" VALUES(3,X'FFD82063726F70');
INSERT INTO "crops" VALUES(4,X'FFD82063726F70');
CREATE TABLE fetched (      
    id INTEGER PRIMARY KEY,
    camera TEXT NOT NULL,           
    folder BLOB NOT NULL,           
    name BLOB NOT NULL,
    size INTEGER NOT NULL,
    time INTEGER NOT NULL,          
    path BLOB,                      
    UNIQUE (camera, folder, name, size, time)
);
CREATE TABLE fixed_areas (  
    setup TEXT,                     
    drawn INTEGER NOT NULL,         
    revision INTEGER NOT NULL,
    x INTEGER NOT NULL,             
    y INTEGER NOT NULL,
    width INTEGER NOT NULL,
    height INTEGER NOT NULL,
    frame_width INTEGER NOT NULL,
    frame_height INTEGER NOT NULL,
    frame TEXT NOT NULL,            
    jpeg BLOB NOT NULL,             
    camera TEXT                     
);
CREATE TABLE frames (
    id INTEGER PRIMARY KEY,
    revision INTEGER NOT NULL,      
    path BLOB NOT NULL UNIQUE,      
    raw BLOB,                       
    size INTEGER NOT NULL,
    mtime_ns INTEGER NOT NULL,
    digest BLOB,                    
    arrived REAL NOT NULL,          
    verdict TEXT NOT NULL,
    cause TEXT,
    edge_width_px REAL,
    edge_width_lo REAL,
    edge_width_hi REAL,
    limit_px REAL,
    name TEXT NOT NULL,             
    line TEXT NOT NULL,             
    evidence TEXT,                  
    setup INTEGER REFERENCES setups (id),   
    camera TEXT,                    
    taken REAL,                     
    slate TEXT,                     
    relative_blur REAL,             
    came REAL                       
);
INSERT INTO "frames" VALUES(1,10,X'626F776C2D303030312E6A7067',X'626F776C2D303030312E646E67',1000,1000000000000000000,X'64646464646464646464646464646464',1773482400.0,'sharp',NULL,2.5,2.2,2.8,4.0,'bowl-0001','{"schema": 1, "file": "/studio/bowls/bowl-0001.jpg", "frame": "bowl-0001", "setup": null, "arrived": "2026-03-14T10:00:00.000+00:00", "judged": "2026-03-14T10:00:00.120+00:00", "latency_ms": 120.0, "verdict": "sharp", "cause": null, "edge_width_px": 2.5, "edge_width_px_95": [2.2, 2.8], "edge_width_narrow_px": 2.4, "edge_width_um": 15.0, "limit_px": 4.0, "relative_blur": null, "motion": null, "area": {"x": 100, "y": 100, "width": 400, "height": 400, "source": "subject area"}, "sharpest": null, "exposure": {"shutter_s": 0.008, "f_number": 2.8, "focal_length_mm": 85.0, "iso": 200, "lens": "Studio 85mm f/1.8", "body": "Studio One", "pixel_pitch_um": 6.0}, "advice": [], "error": null}','{"widest": {"px": 2.5, "lo": 2.2, "hi": 2.8}, "narrowest": {"px": 2.4, "lo": 2.1, "hi": 2.7}, "motion": null, "reason": null, "noise": 0.004, "edges": 212, "clipped": 0.01, "note": "", "size": null, "orientation": 1, "around": null, "focusing": "", "notes": [], "lost": "", "slate_refused": "", "limit_times": 1.0, "judged_from": "", "eyes": [], "against": null}',1,NULL,NULL,NULL,NULL,1773482400.0);
INSERT INTO "frames" VALUES(2,6,X'626F776C2D303030322E6A7067',NULL,1000,1000000000000000000,X'64646464646464646464646464646464',1773482400.0,'sharp',NULL,2.5,2.2,2.8,4.0,'bowl-0002','{"schema": 1, "file": "/studio/bowls/bowl-0002.jpg", "frame": "bowl-0002", "setup": null, "arrived": "2026-03-14T10:00:00.000+00:00", "judged": "2026-03-14T10:00:00.120+00:00", "latency_ms": 120.0, "verdict": "sharp", "cause": null, "edge_width_px": 2.5, "edge_width_px_95": [2.2, 2.8], "edge_width_narrow_px": 2.4, "edge_width_um": 15.0, "limit_px": 4.0, "relative_blur": null, "motion": null, "area": {"x": 100, "y": 100, "width": 400, "height": 400, "source": "subject area"}, "sharpest": null, "exposure": {"shutter_s": 0.008, "f_number": 2.8, "focal_length_mm": 85.0, "iso": 200, "lens": "Studio 85mm f/1.8", "body": "Studio One", "pixel_pitch_um": 6.0}, "advice": [], "error": null}','{"widest": {"px": 2.5, "lo": 2.2, "hi": 2.8}, "narrowest": {"px": 2.4, "lo": 2.1, "hi": 2.7}, "motion": null, "reason": null, "noise": 0.004, "edges": 212, "clipped": 0.01, "note": "", "size": null, "orientation": 1, "around": null, "focusing": "", "notes": [], "lost": "", "slate_refused": "", "limit_times": 1.0, "judged_from": "", "eyes": [], "against": null}',1,NULL,NULL,NULL,NULL,1773482400.0);
INSERT INTO "frames" VALUES(3,7,X'626F776C2D303030332E6A7067',NULL,1000,1000000000000000020,X'64646464646464646464646464646464',1773482420.0,'soft','defocus',7.2,6.5,7.9,4.0,'bowl-0003','{"schema": 1, "file": "/studio/bowls/bowl-0003.jpg", "frame": "bowl-0003", "setup": null, "arrived": "2026-03-14T10:00:20.000+00:00", "judged": "2026-03-14T10:00:20.120+00:00", "latency_ms": 120.0, "verdict": "soft", "cause": "defocus", "edge_width_px": 7.2, "edge_width_px_95": [6.5, 7.9], "edge_width_narrow_px": 2.4, "edge_width_um": 43.2, "limit_px": 4.0, "relative_blur": null, "motion": null, "area": {"x": 100, "y": 100, "width": 400, "height": 400, "source": "subject area"}, "sharpest": null, "exposure": {"shutter_s": 0.008, "f_number": 2.8, "focal_length_mm": 85.0, "iso": 200, "lens": "Studio 85mm f/1.8", "body": "Studio One", "pixel_pitch_um": 6.0}, "advice": [], "error": null}','{"widest": {"px": 7.2, "lo": 6.5, "hi": 7.9}, "narrowest": {"px": 2.4, "lo": 2.1, "hi": 2.7}, "motion": null, "reason": null, "noise": 0.004, "edges": 212, "clipped": 0.01, "note": "", "size": null, "orientation": 1, "around": null, "focusing": "", "notes": [], "lost": "", "slate_refused": "", "limit_times": 1.0, "judged_from": "", "eyes": [], "against": null}',1,NULL,NULL,NULL,NULL,1773482420.0);
INSERT INTO "frames" VALUES(4,9,X'6D616B65722D303030312E6A7067',NULL,1000,1000000000000000060,X'64646464646464646464646464646464',1773482460.0,'soft','defocus',7.2,6.5,7.9,4.0,'maker-0001','{"schema": 1, "file": "/studio/bowls/maker-0001.jpg", "frame": "maker-0001", "setup": null, "arrived": "2026-03-14T10:01:00.000+00:00", "judged": "2026-03-14T10:01:00.120+00:00", "latency_ms": 120.0, "verdict": "soft", "cause": "defocus", "edge_width_px": 7.2, "edge_width_px_95": [6.5, 7.9], "edge_width_narrow_px": 2.4, "edge_width_um": 43.2, "limit_px": 4.0, "relative_blur": null, "motion": null, "area": {"x": 100, "y": 100, "width": 400, "height": 400, "source": "subject area"}, "sharpest": null, "exposure": {"shutter_s": 0.008, "f_number": 2.8, "focal_length_mm": 85.0, "iso": 200, "lens": "Studio 85mm f/1.8", "body": "Studio One", "pixel_pitch_um": 6.0}, "advice": [], "error": null}','{"widest": {"px": 7.2, "lo": 6.5, "hi": 7.9}, "narrowest": {"px": 2.4, "lo": 2.1, "hi": 2.7}, "motion": null, "reason": null, "noise": 0.004, "edges": 212, "clipped": 0.01, "note": "", "size": null, "orientation": 1, "around": null, "focusing": "", "notes": [], "lost": "", "slate_refused": "", "limit_times": 1.0, "judged_from": "", "eyes": [], "against": null}',2,NULL,NULL,NULL,NULL,1773482460.0);
CREATE TABLE overrules (    
    frame INTEGER PRIMARY KEY REFERENCES frames (id),
    revision INTEGER NOT NULL,
    verdict TEXT NOT NULL,
    reason TEXT NOT NULL,
    at REAL NOT NULL
);
INSERT INTO "overrules" VALUES(4,9,'sharp','soft on purpose',1.79601367791238594054e+09);
CREATE TABLE passed_over (  
    path BLOB PRIMARY KEY,
    size INTEGER NOT NULL,
    mtime_ns INTEGER NOT NULL
);
INSERT INTO "passed_over" VALUES(X'6F6C642E6A7067',5,6);
CREATE TABLE reference_frames (   
    setup INTEGER,                  
    camera TEXT,                    
    lens TEXT,
    f_number REAL,
    frame INTEGER NOT NULL REFERENCES frames (id),
    chosen INTEGER NOT NULL,        
    revision INTEGER NOT NULL
);
INSERT INTO "reference_frames" VALUES(1,NULL,'Studio 85mm f/1.8',2.8,1,1,10);
CREATE TABLE reshoots (     
    id INTEGER PRIMARY KEY,
    revision INTEGER NOT NULL,
    setup INTEGER NOT NULL REFERENCES setups (id),
    raised REAL NOT NULL,           
    on_it REAL,                     
    closed REAL                     
);
CREATE TABLE revisions (last INTEGER NOT NULL);
INSERT INTO "revisions" VALUES(10);
CREATE TABLE setups (       
    id INTEGER PRIMARY KEY,
    revision INTEGER NOT NULL,
    place REAL NOT NULL,            
    name TEXT NOT NULL,
    folded TEXT NOT NULL UNIQUE,    
    code TEXT NOT NULL,             
    folded_code TEXT,               
    needed INTEGER NOT NULL,        
    preset TEXT,
    area TEXT,                      
    notes TEXT NOT NULL,
    origin TEXT NOT NULL            
);
INSERT INTO "setups" VALUES(1,1,0.0,'Bowl','bowl','B-01','b-01',2,NULL,NULL,'','list');
INSERT INTO "setups" VALUES(2,2,1.0,'The maker','the maker','',NULL,1,NULL,NULL,'','list');
CREATE TABLE state (key TEXT PRIMARY KEY, value TEXT NOT NULL);
INSERT INTO "state" VALUES('watch','{"there": true, "line": "", "waiting": 3, "smallest_px": 128, "largest_px": 400, "camera_there": true, "camera": "", "before": [], "alerts": "", "drift": "", "burst_s": 1.0}');
CREATE TABLE turns (        
    id INTEGER PRIMARY KEY,
    at REAL NOT NULL,               
    setup INTEGER REFERENCES setups (id),   
    by TEXT NOT NULL                
);
INSERT INTO "turns" VALUES(1,1773482399.0,1,'screen');
INSERT INTO "turns" VALUES(2,1773482450.0,2,'screen');
CREATE TABLE unfinished (   
    frame INTEGER PRIMARY KEY REFERENCES frames (id),
    told INTEGER NOT NULL           
);
INSERT INTO "unfinished" VALUES(3,0);
CREATE INDEX frames_by_revision ON frames (revision);
CREATE INDEX frames_by_raw ON frames (raw);
CREATE INDEX frames_by_setup ON frames (setup, arrived);
CREATE UNIQUE INDEX fixed_area_of ON fixed_areas (
    ifnull(setup, ''), ifnull(camera, ''), drawn
);
CREATE INDEX setups_by_revision ON setups (revision);
CREATE UNIQUE INDEX setups_by_code ON setups (folded_code);
CREATE UNIQUE INDEX reference_of ON reference_frames (
    ifnull(setup, 0), ifnull(camera, ''), ifnull(lens, ''), ifnull(f_number, 0), chosen
);
COMMIT;
PRAGMA user_version = 3;
